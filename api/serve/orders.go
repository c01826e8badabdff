package serve

import (
	"context"
	"encoding/json"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/shop"
)

// asked is an order as a call brought it: complete, with what it refers to and a plan a print.
type asked struct {
	body        []byte
	quoteID     string // of the quote it is ordered under, "" for none
	order       order.Order
	artworkSHAs string // as library.Artworks gives them
	snapshot    shop.Snapshot
	text        []byte // the snapshot's
	plans       []*plan.Plan
	work        library.WorkID
}

// askedOf reads the order in a call's body and plans it. Quotes and jobs share it, so that they cannot disagree.
func (a *api) askedOf(c *gin.Context) (*asked, error) {
	body, err := jsonBody(c)
	if err != nil {
		return nil, err
	}
	o, err := order.Parse(body)
	if err != nil {
		return nil, err
	}
	return a.askedIn(c.Request.Context(), shopOf(c), o, body)
}

func (a *api) askedIn(ctx context.Context, owner library.ShopID, o order.Order, body []byte) (*asked, error) {
	o, err := o.Complete()
	if err != nil {
		return nil, err
	}
	s, err := a.Library.Snapshot(ctx, owner)
	if err != nil {
		return nil, err
	}
	return a.askedUnder(ctx, owner, &asked{body: body, order: o, snapshot: s})
}

// JobRequest is the body of a job: an order, or the id of a quote and nothing else; with the print whose films are to be
// made, where there are several.
type JobRequest struct {
	order.Order
	QuoteID string `json:"quote_id,omitempty" example:"quo_202612260123456789abcdef01234567"`
	PrintN  *int   `json:"print_n,omitempty" example:"2"`
}

// underQuote is a job's body that names a quote.
type underQuote struct {
	QuoteID string `json:"quote_id"`
	PrintN  *int   `json:"print_n"`
}

// inFull is a job's body that is an order.
type inFull struct {
	order.Order
	PrintN *int `json:"print_n"`
}

// orderedOf reads a job's body: an order, or a quote to order under, with the shop's documents as they were when it was
// given; and the print whose films are to be made, from 1.
func (a *api) orderedOf(c *gin.Context) (q *asked, n int, err error) {
	body, err := jsonBody(c)
	if err != nil {
		return nil, 0, err
	}
	var names struct {
		QuoteID *string `json:"quote_id"`
	}
	ctx, owner := c.Request.Context(), shopOf(c)
	var printN *int
	if json.Unmarshal(body, &names) != nil || names.QuoteID == nil {
		var full inFull
		if err := order.DecodeStrict(body, &full); err != nil {
			return nil, 0, err
		}
		printN = full.PrintN
		q, err = a.askedIn(ctx, owner, full.Order, body)
	} else {
		var under underQuote
		if err := order.DecodeStrict(body, &under); err != nil {
			return nil, 0, err
		}
		printN = under.PrintN
		q, err = a.askedByQuote(ctx, owner, under.QuoteID, body)
	}
	if err != nil {
		return nil, 0, err
	}
	n, err = q.printOf(printN)
	return q, n, err
}

// printOf is the print whose films a job makes. It must be named where the order has several.
func (q *asked) printOf(named *int) (int, error) {
	const field = "/print_n"
	most := len(q.plans)
	switch {
	case named == nil && most > 1:
		return 0, fault.Invalidf(field, "print_n_missing", "the order has %d prints and films are made print by print: "+
			"ask once for each print_n of %s", most, q.filmed())
	case named == nil:
		return 1, nil
	case *named < 1 || *named > most:
		return 0, fault.Invalidf(field, "unknown_print", "print %d; the order has prints 1 to %d", *named, most)
	}
	if same := q.plans[*named-1].Part.SameAs; same > 0 {
		return 0, fault.Invalidf(field, "same_films", "print %d is printed from the films and screens of print %d: ask for "+
			"print_n %d", *named, same, same)
	}
	return *named, nil
}

// filmed lists the prints that have films of their own.
func (q *asked) filmed() string {
	var numbers []string
	for _, p := range q.plans {
		if p.Part.SameAs == 0 {
			numbers = append(numbers, strconv.Itoa(p.Part.N))
		}
	}
	return strings.Join(numbers, ", ")
}

func (a *api) askedByQuote(ctx context.Context, owner library.ShopID, id string, body []byte) (*asked, error) {
	quote, err := a.Library.Quote(ctx, owner, id, a.Now())
	if fault.Is(err, fault.NotFound) {
		return nil, fault.Invalidf("/quote_id", "unknown_quote", "there is no quote %.60q here", id)
	}
	if err != nil {
		return nil, err
	}
	o, s, err := a.Library.Quoted(ctx, owner, quote)
	if err != nil {
		return nil, err
	}
	q, err := a.askedUnder(ctx, owner, &asked{body: body, quoteID: id, order: o, snapshot: s})
	if err != nil {
		return nil, err
	}
	if end, _ := library.QuoteEndOf(id); library.QuoteID(q.work, end) != id {
		return nil, fault.Newf(fault.Conflict, "/quote_id", "quote_of_other_version",
			"quote %s was given by another version of Tamis, which would make other films; ask for it again, or send the order", id)
	}
	return q, nil
}

// askedUnder finds what a complete order refers to and plans it under the snapshot it came with.
func (a *api) askedUnder(ctx context.Context, owner library.ShopID, q *asked) (*asked, error) {
	artworks, shas, err := a.Library.Artworks(ctx, owner, q.order)
	if err != nil {
		return nil, err
	}
	q.artworkSHAs = shas
	q.text = library.Text(q.snapshot)
	q.work = library.WorkUnder(q.order, shas, q.text)
	return q, a.planned(ctx, owner, q, artworks)
}

// planned makes the plans, or takes them from the cache: the same work has the same plans.
func (a *api) planned(ctx context.Context, owner library.ShopID, q *asked, artworks []library.Artwork) error {
	if plans, ok := a.quotes.plans.Get(q.work); ok {
		q.plans = plans
		return nil
	}
	drawn, err := a.drawn(ctx, owner, q, artworks)
	if err != nil {
		return err
	}
	if q.order.One(1).Separation.MaxTotal != nil { // a limit may have other rungs drawn
		if err := a.quotes.enter(ctx); err != nil {
			return err
		}
		defer a.quotes.leave()
	}
	plans, err := drawn.Priced(q.order)
	if err != nil {
		return err
	}
	for _, p := range plans {
		q.plans = append(q.plans, &plan.Plan{Doc: p.Doc, Quote: p.Quote, Part: p.Part}) // what makes films is a job's to plan
	}
	a.quotes.plans.Add(q.work, q.plans)
	return nil
}

// drawn makes the plans but for the prices, or takes them from an order that differs in no more than those.
func (a *api) drawn(ctx context.Context, owner library.ShopID, q *asked,
	artworks []library.Artwork) (*plan.Drawn, error) {
	drawing := library.WorkUnder(q.order.Drawing(), q.artworkSHAs, q.text)
	if d, ok := a.quotes.drawn.Get(drawing); ok {
		return d, nil
	}
	ins, err := a.Library.PlanInputs(ctx, owner, q.order, artworks, q.snapshot)
	if err != nil {
		return nil, err
	}
	for i := range ins {
		ins[i].Tables = a.Tables
	}
	if err := a.quotes.enter(ctx); err != nil {
		return nil, err
	}
	defer a.quotes.leave()
	d, err := plan.Draw(q.order, ins)
	if err == nil {
		a.quotes.drawn.Add(drawing, d)
	}
	return d, err
}
