package plan

import (
	"math"

	"tamis/pkg/price"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
)

// priced turns the plan into the quote, its breaks and its ladder.
func (d *draft) priced() error {
	book := d.Input.Shop.Prices.Book()
	take := d.take()
	quote, err := book.Quote(take)
	if err != nil {
		return err
	}
	breaks, err := book.Breaks(take)
	if err != nil {
		return err
	}
	places := price.MinorUnits(book.Currency)
	d.Quote = Quote{Currency: quote.Currency, Total: quote.Total.StringFixed(places),
		PerPiece: quote.PerPiece.StringFixed(places), Lines: []Line{}, Breaks: []Break{}, Ladder: []Rung{}}
	for _, l := range quote.Lines {
		d.Quote.Lines = append(d.Quote.Lines, Line{Code: l.Code, Label: l.Label, Quantity: l.Quantity.String(), Unit: l.Unit,
			UnitPrice: shop.Amount{Decimal: l.UnitPrice}.String(), Amount: l.Amount.StringFixed(places)})
	}
	for _, b := range breaks {
		d.Quote.Breaks = append(d.Quote.Breaks, Break{b.Quantity, b.PerPiece.StringFixed(places), b.Total.StringFixed(places)})
	}
	return d.ladder(book, take, places)
}

// take is what the plan takes from the shop.
func (d *draft) take() price.Take {
	o := d.Input.Order
	t := price.Take{Quantity: o.Quantity, GarmentCost: o.Garment.UnitCost.Decimal, Screens: d.Doc.Screens,
		FilmM2: d.Doc.FilmAreaM2, SetupMin: d.press.SetupMinPerScreen * float64(d.Doc.Screens),
		PrintsPerHour: d.press.PrintsPerHour, Flashes: d.Doc.Press.Flashes, Kept: o.ReuseScreens, Rush: o.Lane == "rush"}
	for _, p := range d.Doc.Plates {
		t.Inks = append(t.Inks, price.InkUse{Label: p.Ink.Name, GramsPerPrint: p.InkGrams,
			PricePerKG: d.Input.Shop.Inks.PricePerKG(p.Ink.ID)})
	}
	return t
}

// ladder prices every rung as the plan itself is priced, with as many screens and the inks of the rung.
func (d *draft) ladder(book price.Book, take price.Take, places int32) error {
	for _, r := range d.Recipe.Rungs {
		t := take
		if r.Screens != d.Doc.Screens {
			t = d.rungTake(take, r)
		}
		quote, err := book.Quote(t)
		if err != nil {
			return err
		}
		d.Quote.Ladder = append(d.Quote.Ladder, Rung{Screens: r.Screens, Mean: hundredth(r.MeanE00),
			P95: hundredth(r.P95E00), Inks: r.InkIDs, Total: quote.Total.StringFixed(places),
			PerPiece: quote.PerPiece.StringFixed(places)})
	}
	return nil
}

// rungTake is the job with another rung's screens. An ink of this plan takes what it takes here; another takes as much
// as the plan's plates do on average.
func (d *draft) rungTake(t price.Take, r separate.Rung) price.Take {
	t.Screens = r.Screens
	t.FilmM2 = fine(d.Doc.FilmAreaM2 / float64(d.Doc.Screens) * float64(r.Screens))
	t.SetupMin = d.press.SetupMinPerScreen * float64(r.Screens)
	t.Flashes = min(t.Flashes, r.Screens-1)
	t.Inks = nil
	for _, id := range r.InkIDs {
		t.Inks = append(t.Inks, price.InkUse{Label: id, GramsPerPrint: d.gramsOf(id),
			PricePerKG: d.Input.Shop.Inks.PricePerKG(id)})
	}
	return t
}

func (d *draft) gramsOf(inkID string) float64 {
	for _, p := range d.Doc.Plates {
		if p.Ink.ID == inkID {
			return p.InkGrams
		}
	}
	return fine(d.Doc.InkGramsPiece / float64(d.Doc.Screens))
}

func hundredth(x float64) float64 { return math.Round(x*100) / 100 }
