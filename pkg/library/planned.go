package library

import (
	"context"

	"tamis/pkg/fault"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/shop"
)

// Artworks finds the artworks of an order's prints, one a print; shas are their hashes, with a space between two. Every
// one that is not there is fault.Invalid at the order's field.
func (l *Library) Artworks(ctx context.Context, owner ShopID, o order.Order) (list []Artwork, shas string, err error) {
	var faults fault.List
	for n := 1; n <= o.Count(); n++ {
		id := o.One(n).ArtworkID
		a, err := l.Artwork(ctx, owner, ArtworkID(id))
		if fault.Is(err, fault.NotFound) {
			faults.Add(o.Located(n, fault.Invalidf("/artwork_id", "unknown_artwork", "there is no artwork %.60q here", id)))
		} else if err != nil {
			return nil, "", err
		}
		list = append(list, a)
		shas += " " + a.SHA256
	}
	return list, shas[1:], faults.Err()
}

// PlanInputs gathers what the plans of an order's prints are made from, artworks as Artworks found them. Quotes and jobs
// share it, so that they cannot disagree.
func (l *Library) PlanInputs(ctx context.Context, owner ShopID, o order.Order, artworks []Artwork,
	s shop.Snapshot) ([]plan.Input, error) {
	ins := make([]plan.Input, len(artworks))
	for i, a := range artworks {
		var err error
		if ins[i], err = l.planInput(ctx, owner, a, o.One(i+1), s); err != nil {
			return nil, o.Located(i+1, err)
		}
	}
	return ins, nil
}

// planInput gathers the artwork's inspection, the order, the shop's documents, and the profile and measured curves that
// they name.
func (l *Library) planInput(ctx context.Context, owner ShopID, a Artwork, o order.Order, s shop.Snapshot) (plan.Input, error) {
	in := plan.Input{Inspection: a.Inspection, Order: o, Shop: s}
	var err error
	if in.Output, err = l.Output(ctx, owner, o.Separation.Profile); err != nil {
		return in, err
	}
	film, press := plan.CurveIDs(o, s)
	device := "/film/device"
	if o.Film.Device.Inline != nil {
		device += "/curve_id"
	}
	if in.FilmCurve, err = l.curve(ctx, owner, film, filmKind, device); err != nil {
		return in, err
	}
	in.PressCurve, err = l.curve(ctx, owner, press, pressKind, "/press")
	return in, err
}

// curve opens a measured curve; nil for the id "". One that is not there, or is another thing's, is fault.Invalid at
// the order's field that leads to it.
func (l *Library) curve(ctx context.Context, owner ShopID, id, kind, field string) (*plan.MeasuredCurve, error) {
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
	return &plan.MeasuredCurve{Curve: curve, ReadAt: c.ReadAt, Noisy: c.noisy(), NoiseArea: c.Noise}, err
}
