package plan

import (
	"math"

	"tamis/pkg/price"
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
			PricePerKG: d.pricePerKG(p.Ink.ID)})
	}
	return t
}

func hundredth(x float64) float64 { return math.Round(x*100) / 100 }
