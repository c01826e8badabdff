package serve

import (
	"context"
	"encoding/json"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/shop"
)

// asked is an order as a call brought it: complete, with what it refers to.
type asked struct {
	body     []byte
	quoteID  string // of the quote it is ordered under, "" for none
	order    order.Order
	artwork  library.Artwork
	snapshot shop.Snapshot
	input    plan.Input
	plan     *plan.Plan
	work     library.WorkID
}

// askedOf reads the order in a call's body and plans it. Quotes and jobs share it, so that they cannot disagree.
func (a *api) askedOf(c *gin.Context) (*asked, error) {
	body, err := jsonBody(c)
	if err != nil {
		return nil, err
	}
	return a.askedIn(c.Request.Context(), shopOf(c), body)
}

func (a *api) askedIn(ctx context.Context, owner library.ShopID, body []byte) (*asked, error) {
	o, err := order.Parse(body)
	if err != nil {
		return nil, err
	}
	o, err = o.Complete()
	if err != nil {
		return nil, err
	}
	s, err := a.Library.Snapshot(ctx, owner)
	if err != nil {
		return nil, err
	}
	return a.askedUnder(ctx, owner, &asked{body: body, order: o, snapshot: s})
}

// JobRequest is the body of a job: an order, or the id of a quote and nothing else.
type JobRequest struct {
	order.Order
	QuoteID string `json:"quote_id,omitempty" example:"quo_202612260123456789abcdef01234567"`
}

// underQuote is a job's body that names a quote.
type underQuote struct {
	QuoteID string `json:"quote_id"`
}

// orderedOf reads a job's body: an order, or a quote to order under, with the shop's documents as they were when it was
// given.
func (a *api) orderedOf(c *gin.Context) (*asked, error) {
	body, err := jsonBody(c)
	if err != nil {
		return nil, err
	}
	var names struct {
		QuoteID *string `json:"quote_id"`
	}
	ctx, owner := c.Request.Context(), shopOf(c)
	if json.Unmarshal(body, &names) != nil || names.QuoteID == nil {
		return a.askedIn(ctx, owner, body)
	}
	var under underQuote
	if err := order.DecodeStrict(body, &under); err != nil {
		return nil, err
	}
	return a.askedByQuote(ctx, owner, under.QuoteID, body)
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
	var err error
	q.artwork, err = a.Library.Artwork(ctx, owner, library.ArtworkID(q.order.ArtworkID))
	if fault.Is(err, fault.NotFound) {
		return nil, fault.Invalidf("/artwork_id", "unknown_artwork", "there is no artwork %.60q here", q.order.ArtworkID)
	}
	if err != nil {
		return nil, err
	}
	q.input, err = a.Library.PlanInput(ctx, owner, q.artwork, q.order, q.snapshot)
	if err != nil {
		return nil, err
	}
	q.input.Tables = a.Tables
	q.work = library.Work(q.order, q.artwork.SHA256, q.snapshot)
	return q, a.planned(ctx, q)
}

// planned makes the plan, or takes it from the cache: the same work has the same plan.
func (a *api) planned(ctx context.Context, q *asked) error {
	if p, ok := a.quotes.get(q.work); ok {
		q.plan = p
		return nil
	}
	if err := a.quotes.enter(ctx); err != nil {
		return err
	}
	defer a.quotes.leave()
	p, err := plan.New(q.input)
	if err != nil {
		return err
	}
	q.plan = p
	a.quotes.put(q.work, p)
	return nil
}
