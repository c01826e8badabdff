package plan

import (
	"math"

	"tamis/pkg/order"
	"tamis/pkg/press"
	"tamis/pkg/price"
	"tamis/pkg/shop"
)

// priced turns the plans of an order's prints into its quote, the same for each, with its breaks and every ladder.
func priced(o order.Order, drafts []*draft) error {
	book := drafts[0].Input.Shop.Prices.Book()
	take := price.Take{Quantity: o.Quantity, GarmentCost: o.Garment.UnitCost.Decimal, Rush: o.Lane == "rush"}
	for _, d := range drafts {
		take.Prints = append(take.Prints, d.taken(o, d.take))
	}
	quote, err := book.Quote(take)
	if err != nil {
		return err
	}
	breaks, err := book.Breaks(take)
	if err != nil {
		return err
	}
	places := price.MinorUnits(book.Currency)
	q := Quote{Currency: quote.Currency, Total: quote.Total.StringFixed(places),
		PerPiece: quote.PerPiece.StringFixed(places), Lines: []Line{}, Breaks: []Break{}, Ladder: []Rung{}}
	for _, l := range quote.Lines {
		line := Line{Code: l.Code, Label: l.Label, Quantity: l.Quantity.String(), Unit: l.Unit,
			UnitPrice: shop.Amount{Decimal: l.UnitPrice}.String(), Amount: l.Amount.StringFixed(places)}
		if o.Prints != nil {
			line.Print = l.Print
		}
		q.Lines = append(q.Lines, line)
	}
	if q.Warnings, err = reused(o, book, take, quote.Total); err != nil {
		return err
	}
	for _, b := range breaks {
		q.Breaks = append(q.Breaks, Break{b.Quantity, b.PerPiece.StringFixed(places), b.Total.StringFixed(places)})
	}
	return ladders(o, drafts, q, book, take)
}

// ladders adds every print's ladder to the quote, and gives it to all prints.
func ladders(o order.Order, drafts []*draft, q Quote, book price.Book, take price.Take) (err error) {
	places := price.MinorUnits(book.Currency)
	for _, d := range drafts {
		if d.Part.SameAs > 0 {
			d.rungs = drafts[d.Part.SameAs-1].rungs
		} else if d.rungs, err = d.ladder(book, take, places); err != nil {
			return err
		}
		if o.Prints == nil {
			continue
		}
		one := PrintQuote{N: d.Part.N, Placement: d.Input.Order.Print.Placement, Quantity: d.Input.Order.Quantity,
			SameAs: d.Part.SameAs}
		if one.SameAs == 0 {
			one.Ladder = d.rungs
		}
		q.Prints = append(q.Prints, one)
	}
	q.Ladder, q.Warnings = drafts[0].rungs, append(q.Warnings, bare(o)...)
	for _, d := range drafts {
		d.Quote = q
	}
	return nil
}

// takes settles what the print takes from the shop, as planned and on each rung of its ladder.
func (d *draft) takes() error {
	d.take = price.Print{Screens: d.Doc.Screens, FilmM2: d.Doc.FilmAreaM2,
		PrintsPerHour: d.press.PrintsPerHour}
	d.runs(&d.take, flashesOf(d.Recipe.Plates))
	for _, p := range d.Doc.Plates {
		d.take.Inks = append(d.take.Inks, price.InkUse{Label: p.Ink.Name, GramsPerPrint: p.InkGrams,
			PricePerKG: d.pricePerKG(p.Ink.ID)})
	}
	return d.lowerTakes()
}

// runs settles the flashes of a print and the set-up of each run that its screens take over the press.
func (d *draft) runs(t *price.Print, flashes []bool) {
	t.Flashes = press.StationsNeeded(flashes) - len(flashes)
	t.SetupMin, t.FurtherSetupMin = 0, nil
	for i, screens := range press.Runs(flashes, d.press.Stations) {
		setupMin := d.press.SetupMinPerScreen * float64(screens)
		if i == 0 {
			t.SetupMin = setupMin
		} else {
			t.FurtherSetupMin = append(t.FurtherSetupMin, setupMin)
		}
	}
}

// taken is what a print takes as part of its order.
func (d *draft) taken(o order.Order, t price.Print) price.Print {
	t.Label, t.Quantity, t.Kept, t.Shared = lineLabel(o, d.Part.N), o.One(d.Part.N).Quantity, o.ReuseScreens, d.Part.SameAs > 0
	return t
}

func hundredth(x float64) float64 { return math.Round(x*100) / 100 }
