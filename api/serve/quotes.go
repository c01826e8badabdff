package serve

import (
	"context"
	"encoding/json"
	"net/http"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"tamis/pkg/library"
	"tamis/pkg/plan"
)

// postQuote prices an order.
//
//	@Summary		Quote an order
//	@Description	The whole plan, priced, at once: screens, inks, meshes, predicted match, lines that add up to the total. No films are made. With `prints` in place of `artwork_id` and `print` one quote is for up to 8 prints of one order of garments: garments, markup, minimum and rush are reckoned once, each print's screens, film, ink and press time on lines of its own; a print that needs no films but another's says so in `same_as`. `breaks` keep each print on the same share of the pieces. A job of the same order is made from the same plan. The same order on the same day (UTC) is the same quote, to the byte; until `valid_until` GET gives it again, and a job can be ordered under it, whatever the shop has edited since.
//	@Tags			quotes
//	@Accept			json
//	@Produce		json
//	@Param			order	body		order.Order	true	"the order"
//	@Success		200		{object}	plan.Quote
//	@Header			200		{string}	Location	"where the quote is given again"
//	@Failure		400,413,415,422,503	{object}	Problem
//	@Router			/v1/quotes [post]
func (a *api) postQuote(c *gin.Context) {
	q, err := a.askedOf(c)
	if err != nil {
		fail(c, err)
		return
	}
	id, answer, err := a.quote(c.Request.Context(), shopOf(c), q, a.Now())
	if err != nil {
		fail(c, err)
		return
	}
	c.Header("Location", "/v1/quotes/"+id)
	c.Data(http.StatusOK, "application/json; charset=utf-8", answer)
}

// getQuote gives a quote again.
//
//	@Summary		A quote, as it was given
//	@Description	The same bytes as when it was asked for, whatever was edited since. 410 once `valid_until` has passed; it is thrown away then.
//	@Tags			quotes
//	@Produce		json
//	@Param			id	path		string	true	"quote id"
//	@Success		200	{object}	plan.Quote
//	@Failure		404,410,503	{object}	Problem
//	@Router			/v1/quotes/{id} [get]
func (a *api) getQuote(c *gin.Context) {
	q, err := a.Library.Quote(c.Request.Context(), shopOf(c), c.Param("id"), a.Now())
	if err != nil {
		fail(c, err)
		return
	}
	c.Header("Cache-Control", "private, no-cache")
	if held(c, tagOf(q.Answer)) {
		return
	}
	c.Data(http.StatusOK, "application/json; charset=utf-8", q.Answer)
}

// quotesSwept is how many ended quotes are thrown away at the first quote of a day.
const quotesSwept = 200

// quote gives the answer to an order and keeps it, once: a quote asked again costs no write.
func (a *api) quote(ctx context.Context, owner library.ShopID, q *asked, now time.Time) (id string,
	answer []byte, err error) {
	quote := dated(withPlans(q.plans), q.work, library.QuoteEnd(now, q.snapshot.Profile.QuoteValidDays))
	if answer, err = json.Marshal(quote); err != nil {
		return "", nil, err
	}
	if a.quotes.known(owner, quote.ID) {
		return quote.ID, answer, nil
	}
	kept := library.Quote{ID: quote.ID, Order: q.order.Canonical(), ArtworkSHA: q.artworkSHAs, Answer: answer}
	stood, err := a.Library.KeepQuote(ctx, owner, kept, q.text)
	if err != nil {
		return "", nil, err
	}
	if string(stood.Answer) != string(answer) {
		return quote.ID, stood.Answer, nil // another version's: not remembered, so that it is read each time
	}
	if a.quotes.remember(owner, quote.ID, now) {
		err = a.Library.SweepQuotes(ctx, owner, now, quotesSwept)
	}
	return quote.ID, answer, err
}

// withPlans is the quote with its plans: the first print's, and each one's where the order has a list of prints.
func withPlans(plans []*plan.Plan) plan.Quote {
	quote := plans[0].Quote
	quote.Plan = &plans[0].Doc
	quote.Prints = slices.Clone(quote.Prints)
	for i := range quote.Prints {
		quote.Prints[i].Plan = &plans[i].Doc
	}
	return quote
}

// dated gives a quote its id, which follows from what made it and from when it ends.
func dated(q plan.Quote, work library.WorkID, end time.Time) plan.Quote {
	q.ID = library.QuoteID(work, end)
	q.ValidUntil = end.Format(time.RFC3339)
	return q
}
