package library

import (
	"context"

	"tamis/pkg/fault"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/shop"
	"tamis/pkg/tone"
)

// PlanInput gathers what a plan is made from: the artwork's inspection, the order, the shop's documents, and the
// profile and measured curves that they name. Quotes and jobs share it, so that they cannot disagree.
func (l *Library) PlanInput(ctx context.Context, owner ShopID, a Artwork, o order.Order, s shop.Snapshot) (plan.Input, error) {
	in := plan.Input{Inspection: a.Inspection, Order: o, Shop: s}
	var err error
	if in.Output, err = l.Output(ctx, owner, o.Separation.Profile); err != nil {
		return in, err
	}
	film, press := plan.CurveIDs(o, s)
	if in.FilmCurve, err = l.curve(ctx, owner, film, filmKind, "/film/device"); err != nil {
		return in, err
	}
	in.PressCurve, err = l.curve(ctx, owner, press, pressKind, "/press")
	return in, err
}

// curve opens a measured curve; nil for the id "". One that is not there, or is another thing's, is fault.Invalid at
// the order's field that leads to it.
func (l *Library) curve(ctx context.Context, owner ShopID, id, kind, field string) (*tone.Curve, error) {
	if id == "" {
		return nil, nil
	}
	c, err := l.Calibration(ctx, owner, id)
	if fault.Is(err, fault.NotFound) || err == nil && c.Kind != kind {
		return nil, fault.Invalidf(field, "unknown_curve", "there is no %s curve %.60q here", kind, id)
	}
	if err != nil {
		return nil, err
	}
	curve, err := c.Tone()
	return &curve, err
}
