package serve

import (
	"context"

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
	o, err := order.Parse(body)
	if err != nil {
		return nil, err
	}
	o, err = o.Complete()
	if err != nil {
		return nil, err
	}
	ctx := c.Request.Context()
	q := &asked{body: body, order: o}
	q.artwork, err = a.Library.Artwork(ctx, shopOf(c), library.ArtworkID(o.ArtworkID))
	if fault.Is(err, fault.NotFound) {
		return nil, fault.Invalidf("/artwork_id", "unknown_artwork", "there is no artwork %.60q here", o.ArtworkID)
	}
	if err != nil {
		return nil, err
	}
	q.snapshot, err = a.Library.Snapshot(ctx, shopOf(c))
	if err != nil {
		return nil, err
	}
	q.input, err = a.Library.PlanInput(ctx, shopOf(c), q.artwork, o, q.snapshot)
	if err != nil {
		return nil, err
	}
	q.input.Tables = a.Tables
	q.work = library.Work(o, q.artwork.SHA256, q.snapshot)
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
