package price

import (
	"math"

	"github.com/shopspring/decimal"

	"tamis/pkg/fault"
)

// MaxQuantity bounds an order: beyond it a typing slip is likelier than an order.
const MaxQuantity = 1_000_000

// InkUse is one plate's ink: its label, grams a print, and price a kilogram.
type InkUse struct {
	Label         string
	GramsPerPrint float64
	PricePerKG    decimal.Decimal
}

// Take is what a job takes. FilmM2 is the area of all films; SetupMin the minutes to hang and register all screens;
// Kept says the screens stand ready from an earlier run, so that film, emulsion, setup and reclaim fall away.
type Take struct {
	Quantity      int
	GarmentCost   decimal.Decimal
	Screens       int
	FilmM2        float64
	Inks          []InkUse
	SetupMin      float64
	PrintsPerHour float64
	Flashes       int
	Kept          bool
	Rush          bool
}

// Line is one item: Amount is Quantity x UnitPrice, rounded down to the currency's minor unit.
type Line struct {
	Code, Label string
	Quantity    decimal.Decimal
	Unit        string
	UnitPrice   decimal.Decimal
	Amount      decimal.Decimal
}

// Quote is the itemised price. Total is the exact sum of the lines' amounts; PerPiece times the pieces never falls short
// of it.
type Quote struct {
	Currency string
	Lines    []Line
	Total    decimal.Decimal
	PerPiece decimal.Decimal
}

// Quote prices a job. A quantity outside 1..MaxQuantity is fault.Invalid at /quantity. Pure.
func (b Book) Quote(t Take) (Quote, error) {
	if t.Quantity < 1 || t.Quantity > MaxQuantity {
		return Quote{}, fault.Invalidf("/quantity", "quantity", "%d pieces; 1 to %d can be quoted", t.Quantity, MaxQuantity)
	}
	s := &sum{places: MinorUnits(b.Currency)}
	b.garments(s, t)
	b.screens(s, t)
	b.ink(s, t)
	b.labour(s, t)
	s.share("margin", "Margin", b.markup(t.Quantity))
	if t.Rush {
		s.share("rush", "Rush", b.RushPercent)
	}
	s.atLeast(b.Minimum)
	total := s.close()
	pieces := decimal.NewFromInt(int64(t.Quantity))
	perPiece := total.DivRound(pieces, s.places+8).RoundUp(s.places)
	return Quote{Currency: b.Currency, Lines: s.lines, Total: total, PerPiece: perPiece}, nil
}

// Break is the quote of another quantity.
type Break struct {
	Quantity int
	PerPiece decimal.Decimal
	Total    decimal.Decimal
}

// Breaks prices the same job at the book's break quantities.
func (b Book) Breaks(t Take) ([]Break, error) {
	var breaks []Break
	for _, q := range b.BreakQuantities {
		t.Quantity = q
		quote, err := b.Quote(t)
		if err != nil {
			return nil, err
		}
		breaks = append(breaks, Break{q, quote.PerPiece, quote.Total})
	}
	return breaks, nil
}

func (b Book) garments(s *sum, t Take) {
	pieces := decimal.NewFromInt(int64(t.Quantity))
	s.add("garments", "Garments", pieces, "piece", t.GarmentCost)
	s.add("spoilage", "Garments reckoned lost", pieces.Mul(b.SpoilagePercent).Shift(-2), "piece", t.GarmentCost)
}

func (b Book) screens(s *sum, t Take) {
	if t.Kept {
		return
	}
	n := decimal.NewFromInt(int64(t.Screens))
	s.add("film", "Film", quantity(t.FilmM2), "m2", b.FilmPerM2)
	s.add("emulsion", "Emulsion", n, "screen", b.EmulsionPerScreen)
	s.add("screens", "Screens: coat, expose, wash out", n, "screen", b.ScreenSetup)
	s.add("reclaim", "Screens: reclaim", n, "screen", b.ScreenReclaim)
}

// ink adds a line a plate: what goes onto the garments, lost ones included, and what stays in the screen.
func (b Book) ink(s *sum, t Take) {
	prints := decimal.NewFromInt(int64(t.Quantity)).Mul(b.SpoilagePercent.Shift(-2).Add(decimal.NewFromInt(1)))
	for _, use := range t.Inks {
		grams := decimal.NewFromFloat(math.Max(use.GramsPerPrint, 0)).Round(5).Mul(prints).Add(b.ScreenChargeG)
		s.add("ink", "Ink: "+use.Label, grams.Shift(-3), "kg", use.PricePerKG)
	}
}

func (b Book) labour(s *sum, t Take) {
	pieces := decimal.NewFromInt(int64(t.Quantity))
	s.add("press_setup", "Press: hang and register", quantity(t.SetupMin/60), "hour", b.LabourPerHour)
	if t.PrintsPerHour > 0 {
		hourly := decimal.NewFromFloat(t.PrintsPerHour)
		s.add("press_run", "Press: run", pieces, "piece", b.LabourPerHour.DivRound(hourly, 6))
	}
	s.add("flash", "Flash", pieces.Mul(decimal.NewFromInt(int64(t.Flashes))), "flash", b.FlashPerPrint)
}

// quantity gives a measured quantity four decimals, rounded up, so that the line shows what it was reckoned with.
func quantity(x float64) decimal.Decimal { return decimal.NewFromFloat(math.Max(x, 0)).RoundUp(4) }

// sum collects lines. exact is what they come to before any rounding, listed the sum of their amounts.
type sum struct {
	places        int32
	lines         []Line
	exact, listed decimal.Decimal
}

// add appends a line unless it costs nothing.
func (s *sum) add(code, label string, quantity decimal.Decimal, unit string, unitPrice decimal.Decimal) {
	exact := quantity.Mul(unitPrice)
	if exact.IsZero() {
		return
	}
	line := Line{code, label, quantity, unit, unitPrice, exact.RoundDown(s.places)}
	s.lines = append(s.lines, line)
	s.exact, s.listed = s.exact.Add(exact), s.listed.Add(line.Amount)
}

// share adds a percentage of the exact cost so far, as a line that says so.
func (s *sum) share(code, label string, percent decimal.Decimal) {
	s.add(code, label, percent.Shift(-2), "of the above", s.exact)
}

// atLeast makes up what is missing to the least an order costs.
func (s *sum) atLeast(minimum decimal.Decimal) {
	if minimum = minimum.RoundUp(s.places); s.exact.LessThan(minimum) {
		s.add("minimum", "Make-up to the minimum order", decimal.NewFromInt(1), "order", minimum.Sub(s.exact))
	}
}

// close rounds the exact cost up to the total, and lists what the lines lost by rounding.
func (s *sum) close() (total decimal.Decimal) {
	total = s.exact.RoundUp(s.places)
	s.add("rounding", "Rounding of the lines", decimal.NewFromInt(1), "order", total.Sub(s.listed))
	return total
}
