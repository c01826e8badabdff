package serve

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tamis/pkg/plan"
)

// postQuote prices an order.
//
//	@Summary		Quote an order
//	@Description	The whole plan, priced, at once: screens, inks, meshes, predicted match, lines that add up to the total. No films are made. A job of the same order is made from the same plan.
//	@Tags			quotes
//	@Accept			json
//	@Produce		json
//	@Param			order	body		order.Order	true	"the order"
//	@Success		200		{object}	plan.Quote
//	@Failure		400,413,415,422,503	{object}	Problem
//	@Router			/v1/quotes [post]
func (a *api) postQuote(c *gin.Context) {
	q, err := a.askedOf(c)
	if err != nil {
		fail(c, err)
		return
	}
	quote := dated(q.plan.Quote, string(q.work), a.Now(), q.snapshot.Profile.QuoteValidDays)
	quote.Plan = &q.plan.Doc
	c.JSON(http.StatusOK, quote)
}

// dated gives a quote its id, which follows from what made it, and its last day.
func dated(q plan.Quote, work string, from time.Time, days int) plan.Quote {
	q.ID = "quo_" + work[1:25]
	q.ValidUntil = from.UTC().AddDate(0, 0, days).Truncate(time.Second).Format(time.RFC3339)
	return q
}
