package price

import (
	"fmt"
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

// Take is what an order takes: its garments, once, and each of its prints.
type Take struct {
	Quantity    int
	GarmentCost decimal.Decimal
	Prints      []Print
	Rush        bool
}

// Print is what one print of an order takes. Label tells it from the others on its lines, "" where there are none.
// Quantity is how many of the order's pieces carry it, 0 for all. FilmM2 is the area of all its films; SetupMin the
// minutes to hang and register the screens of its first run over the press, FurtherSetupMin those of each further run. Kept says the screens stand ready from an earlier run, so that film,
// emulsion and reclaim fall away. Shared says they hang in the press already, for another print of this order: then
// setup and the ink that stays in a screen fall away too.
type Print struct {
	Label         string
	Quantity      int
	Screens       int
	FilmM2        float64
	Inks          []InkUse
	SetupMin      float64
	PrintsPerHour float64
	Flashes       int

	FurtherSetupMin []float64

	Kept   bool
	Shared bool
}

// Line is one item: Amount is Quantity x UnitPrice, rounded down to the currency's minor unit. Print is the print it is
// of, from 1; 0 is the whole order.
type Line struct {
	Print       int
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

// Quote prices an order. A quantity outside 1..MaxQuantity is fault.Invalid at /quantity, and so is a print of more
// pieces than the order has. Pure.
func (b Book) Quote(t Take) (Quote, error) { return b.quote(t, t.Quantity) }

// quote prices t.Quantity pieces of an order whose prints are told for ordered pieces. Each print's share of the pieces
// stays what it is, exactly: of 40 in 72, 12 pieces carry 6 2/3. Ours: with whole pieces a print that fewer carry would
// be on a larger share of some quantities than of smaller ones, and a piece of the larger order could cost more.
func (b Book) quote(t Take, ordered int) (Quote, error) {
	if t.Quantity < 1 || t.Quantity > MaxQuantity {
		return Quote{}, fault.Invalidf("/quantity", "quantity", "%d pieces; 1 to %d can be quoted", t.Quantity, MaxQuantity)
	}
	s := &sum{places: MinorUnits(b.Currency)}
	b.garments(s, t)
	for i, p := range t.Prints {
		if p.Quantity < 0 || p.Quantity > ordered {
			return Quote{}, fault.Invalidf("/quantity", "quantity", "print %d is on %d of %d pieces", i+1, p.Quantity, ordered)
		}
		s.print = i + 1
		b.print(s, p, share(t.Quantity, p.Quantity, ordered))
	}
	s.print = 0
	s.share("margin", "Mark-up on cost", b.markup(t.Quantity))
	s.atLeast(b.Minimum)
	if t.Rush { // after the minimum, which would swallow it
		s.share("rush", "Rush", b.RushPercent)
	}
	total := s.close()
	pieces := decimal.NewFromInt(int64(t.Quantity))
	perPiece := total.DivRound(pieces, s.places+8).RoundUp(s.places)
	return Quote{Currency: b.Currency, Lines: s.lines, Total: total, PerPiece: perPiece}, nil
}

// shareDecimals keeps what is cut off a share to less than a millionth of any currency's minor unit.
const shareDecimals = 16

// share is the pieces of quantity that carry a print which is on some of ordered, 0 for all: some x quantity / ordered,
// cut off and not rounded: the total is rounded up, and a hair too much would make it a minor unit more.
func share(quantity, some, ordered int) decimal.Decimal {
	pieces := decimal.NewFromInt(int64(quantity))
	if some == 0 || some == ordered {
		return pieces
	}
	product := pieces.Mul(decimal.NewFromInt(int64(some)))
	cut, _ := product.QuoRem(decimal.NewFromInt(int64(ordered)), shareDecimals)
	return cut
}

// Break is the quote of another quantity.
type Break struct {
	Quantity int
	PerPiece decimal.Decimal
	Total    decimal.Decimal
}

// Breaks prices the same order at the book's break quantities, each print on the same share of the pieces.
func (b Book) Breaks(t Take) ([]Break, error) {
	var breaks []Break
	ordered := t.Quantity
	for _, q := range b.BreakQuantities {
		t.Quantity = q
		quote, err := b.quote(t, ordered)
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

// print adds the lines of one print on so many pieces; those reckoned lost are printed too.
func (b Book) print(s *sum, p Print, pieces decimal.Decimal) {
	s.label = ""
	if p.Label != "" {
		s.label = " (" + p.Label + ")"
	}
	if !p.Kept && !p.Shared {
		b.screens(s, p)
	}
	pieces = pieces.Mul(b.SpoilagePercent.Shift(-2).Add(decimal.NewFromInt(1)))
	b.ink(s, p, pieces)
	b.labour(s, p, pieces)
	s.label = ""
}

func (b Book) screens(s *sum, p Print) {
	n := decimal.NewFromInt(int64(p.Screens))
	s.add("film", "Film", quantity(p.FilmM2), "m2", b.FilmPerM2)
	s.add("emulsion", "Emulsion", n, "screen", b.EmulsionPerScreen)
	s.add("screens", "Screens: coat, expose, wash out", n, "screen", b.ScreenSetup)
	s.add("reclaim", "Screens: reclaim", n, "screen", b.ScreenReclaim)
}

// ink adds a line a plate: what goes onto the garments and what stays in the screen.
func (b Book) ink(s *sum, p Print, pieces decimal.Decimal) {
	for _, use := range p.Inks {
		grams := decimal.NewFromFloat(math.Max(use.GramsPerPrint, 0)).Round(5).Mul(pieces)
		if !p.Shared {
			grams = grams.Add(b.ScreenChargeG)
		}
		s.add("ink", "Ink: "+use.Label, grams.Shift(-3), "kg", use.PricePerKG)
	}
}

func (b Book) labour(s *sum, p Print, pieces decimal.Decimal) {
	b.run(s, p, pieces, "", p.SetupMin)
	for i, setupMin := range p.FurtherSetupMin {
		b.run(s, p, pieces, fmt.Sprintf(", run %d", i+2), setupMin)
	}
	s.add("flash", "Flash", pieces.Mul(decimal.NewFromInt(int64(p.Flashes))), "flash", b.FlashPerPrint)
}

// run adds a run over the press: its set-up and its pass over all pieces.
func (b Book) run(s *sum, p Print, pieces decimal.Decimal, which string, setupMin float64) {
	if !p.Shared {
		s.add("press_setup", "Press: hang and register"+which, quantity(setupMin/60), "hour", b.LabourPerHour)
	}
	if p.PrintsPerHour > 0 {
		hourly := decimal.NewFromFloat(p.PrintsPerHour)
		s.add("press_run", "Press: run"+which, pieces, "piece", b.LabourPerHour.DivRound(hourly, 6))
	}
}

// quantity gives a measured quantity four decimals, rounded up, so that the line shows what it was reckoned with.
func quantity(x float64) decimal.Decimal { return decimal.NewFromFloat(math.Max(x, 0)).RoundUp(4) }

// sum collects lines, those of a print with its number and label. exact is what they come to before any rounding, listed
// the sum of their amounts.
type sum struct {
	places        int32
	print         int
	label         string
	lines         []Line
	exact, listed decimal.Decimal
}

// add appends a line unless it costs nothing.
func (s *sum) add(code, label string, quantity decimal.Decimal, unit string, unitPrice decimal.Decimal) {
	exact := quantity.Mul(unitPrice)
	if exact.IsZero() {
		return
	}
	line := Line{s.print, code, label + s.label, quantity, unit, unitPrice, exact.RoundDown(s.places)}
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
