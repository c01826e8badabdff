package plan

import (
	"slices"

	"github.com/shopspring/decimal"

	"tamis/pkg/fabric"
	"tamis/pkg/fault"
	"tamis/pkg/order"
	"tamis/pkg/press"
	"tamis/pkg/price"
	"tamis/pkg/separate"
)

// rungTake is a rung of a print's ladder and what the print takes on it.
type rungTake struct {
	separate.Rung
	take price.Print
}

// lowerTakes settles what the print takes on each rung of its ladder.
func (d *draft) lowerTakes() error {
	for i, r := range d.Recipe.Rungs {
		if next := i + 1; next < len(d.Recipe.Rungs) && d.Recipe.Rungs[next].Screens <= r.Screens {
			continue // the one above turned out to need no more screens
		}
		take := d.take
		if r.Screens != d.Doc.Screens {
			var err error
			if take, err = d.rungTake(take, r); err != nil {
				return err
			}
		}
		d.lower = append(d.lower, rungTake{r, take})
	}
	return nil
}

// ladder prices every rung as the order itself is priced, with the screens, inks and coverages of the rung in this print
// and in those that are printed from its screens.
func (d *draft) ladder(book price.Book, all price.Take, places int32) ([]Rung, error) {
	ladder := make([]Rung, 0, len(d.lower))
	take := all
	take.Prints = slices.Clone(all.Prints)
	for _, r := range d.lower {
		for _, n := range append([]int{d.Part.N}, d.Part.Also...) {
			one := all.Prints[n-1]
			one.Screens, one.FilmM2, one.Flashes, one.Inks = r.take.Screens, r.take.FilmM2, r.take.Flashes, r.take.Inks
			one.SetupMin, one.FurtherSetupMin = r.take.SetupMin, r.take.FurtherSetupMin
			take.Prints[n-1] = one
		}
		quote, err := book.Quote(take)
		if err != nil {
			return nil, err
		}
		ladder = append(ladder, Rung{Screens: r.Screens, Mean: hundredth(r.MeanE00), P95: hundredth(r.P95E00),
			Inks: r.InkIDs, Total: quote.Total.StringFixed(places), PerPiece: quote.PerPiece.StringFixed(places)})
	}
	return ladder, nil
}

// rungTake is what the print takes with another rung's screens.
func (d *draft) rungTake(t price.Print, r separate.Rung) (price.Print, error) {
	t.Screens = r.Screens
	t.FilmM2 = fine(d.Doc.FilmAreaM2 / float64(d.Doc.Screens) * float64(r.Screens))
	d.runs(&t, flashesOf(r.Plates))
	t.Inks = nil
	for _, p := range r.Plates {
		grams, err := d.gramsOf(p)
		if err != nil {
			return t, err
		}
		t.Inks = append(t.Inks, price.InkUse{Label: p.Ink.Name, GramsPerPrint: grams, PricePerKG: d.pricePerKG(p.Ink.ID)})
	}
	return t, nil
}

// gramsOf is the ink a plate of another rung takes, on the mesh that would be picked for it.
func (d *draft) gramsOf(p separate.Plate) (float64, error) {
	as := Plate{Role: string(p.Role), Rendering: string(p.Rendering)}
	if p.Rendering == separate.Halftone {
		as.Halftone = d.halftone()
	}
	best := fabric.Rank(d.fabrics(), d.need(as, p.Ink))
	if len(best) == 0 {
		return 0, nil
	}
	area := fine(p.Coverage)
	if as.Halftone != nil {
		if d.lpi > 0 { // 0: the plan itself has no plate with a ruling
			as.Halftone.LPI = d.lpi
		}
		spec, err := d.spec(as.Halftone, best[0].Mesh)
		if err != nil {
			return 0, err
		}
		area = d.filmCoverage(p, &spec)
	}
	areaMM2 := d.Doc.Print.WidthMM * d.Doc.Print.HeightMM
	volume := tenth(best[0].Mesh.InkVolumeCM3M2())
	return fine(press.InkGrams(area, areaMM2, volume, d.model.Transfer, p.Ink.DensityGCM3)), nil
}

// pricePerKG is the price of an ink of the shop; one mixed for the job costs what the shop's spot inks do on average.
func (d *draft) pricePerKG(id string) decimal.Decimal {
	if !separate.IsMixed(id) {
		return d.Input.Shop.Inks.PricePerKG(id)
	}
	return d.Input.Shop.Inks.MeanPricePerKG()
}

// rungOf is the priced rung of so many screens.
func (p *Plan) rungOf(screens int) (Rung, bool) {
	for _, r := range p.Quote.Ladder {
		if r.Screens == screens {
			return r, true
		}
	}
	return Rung{}, false
}

// within is the plan, or one on a lower rung of its ladder, that costs no more than most; where the order named no
// colour tolerance, the best of all rungs that do.
func (p *Plan) within(o order.Order, most decimal.Decimal) (*Plan, error) {
	top := p.Recipe.Rung // rungs above max_screens are not in the ladder
	if p.Input.Order.Separation.MaxDeltaE00 == nil {
		top = len(p.Recipe.Rungs) - 1
	}
	least, screens := p.Quote.Total, p.Doc.Screens
	for at := top; at >= 0; at-- {
		rung, ok := p.rungOf(p.Recipe.Rungs[at].Screens)
		if !ok {
			continue
		}
		total, err := decimal.NewFromString(rung.Total)
		if err != nil {
			return nil, err
		}
		least, screens = rung.Total, rung.Screens
		if total.GreaterThan(most) {
			continue
		}
		drawn, err := draw(o, []Input{p.Input}, p.Recipe.At(at))
		if err != nil {
			return nil, err
		}
		plans, err := drawn.priced(o)
		if err != nil {
			return nil, err
		}
		q := plans[0]
		if total, err = decimal.NewFromString(q.Quote.Total); err != nil || !total.GreaterThan(most) {
			return q, err
		}
		least, screens = q.Quote.Total, q.Doc.Screens
	}
	return nil, fault.Invalidf("/separation/max_total", "max_total_too_low",
		"%s %s is asked; the least this print costs is %s, with %d screens", most, p.Quote.Currency, least, screens)
}
