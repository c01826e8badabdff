package price_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"tamis/pkg/price"
)

// pick is a whole number of 0..most: rapid's in properties, a seeded generator's in long runs.
type pick func(name string, most int) int

func drawn(t *rapid.T) pick {
	return func(name string, most int) int { return rapid.IntRange(0, most).Draw(t, name) }
}

func seeded(seed uint64) pick {
	rng := rand.New(rand.NewPCG(seed, 0))
	return func(_ string, most int) int { return rng.IntN(most + 1) }
}

// money is 0 to about most, with up to four decimals.
func (p pick) money(name string, most int) decimal.Decimal {
	return decimal.New(int64(p(name, most*10_000)), -4)
}

// book is a price book that passes its check.
func (p pick) book() price.Book {
	b := price.Book{Currency: []string{"EUR", "JPY", "KWD", "CHF"}[p("currency", 3)], ScreenSetup: p.money("setup", 40),
		ScreenReclaim: p.money("reclaim", 20), EmulsionPerScreen: p.money("emulsion", 9), FilmPerM2: p.money("film", 60),
		LabourPerHour: p.money("labour", 120), FlashPerPrint: p.money("flash", 1), SpoilagePercent: p.money("spoilage", 12),
		ScreenChargeG: p.money("charge", 150), RushPercent: p.money("rush", 100), Minimum: p.money("minimum", 300),
		BreakQuantities: []int{1, 12, 72, 500}}
	from, percent := 1, p.money("markup", 150)
	for range p("markups", 4) {
		b.Markups = append(b.Markups, price.Markup{From: from, Percent: percent})
		from, percent = from+1+p("from", 400), percent.Sub(percent.Mul(p.money("fall", 1)).Round(4))
	}
	return b
}

// take is what an order of one print takes.
func (p pick) take() price.Take {
	return price.Take{Quantity: 1 + p("quantity", 4999), GarmentCost: p.money("cost", 60), Prints: []price.Print{p.print()},
		Rush: p("rush", 1) == 1}
}

// print is what a print on every piece takes.
func (p pick) print() price.Print {
	float := func(name string, most int) float64 { return float64(p(name, most*1000)) / 1000 }
	t := price.Print{Screens: 1 + p("screens", 11), FilmM2: float("film m2", 5), SetupMin: float("setup min", 200),
		PrintsPerHour: float("speed", 900), Flashes: p("flashes", 5), Kept: p("kept", 1) == 1}
	for i := range t.Screens {
		t.Inks = append(t.Inks, price.InkUse{Label: fmt.Sprint("ink ", i+1), GramsPerPrint: float("grams", 30) / 7,
			PricePerKG: p.money("ink price", 80)})
	}
	return t
}

// checkSums fails unless every line is its quantity times its price and the lines come to the total.
func checkSums(t interface{ Fatalf(string, ...any) }, b price.Book, q price.Quote, pieces int) {
	places := price.MinorUnits(b.Currency)
	total := decimal.Zero
	for _, l := range q.Lines {
		total = total.Add(l.Amount)
		if l.Amount.IsNegative() || !l.Quantity.Mul(l.UnitPrice).RoundDown(places).Equal(l.Amount) {
			t.Fatalf("line %+v is not its quantity times its price", l)
		}
	}
	all := q.PerPiece.Mul(decimal.NewFromInt(int64(pieces)))
	if !total.Equal(q.Total) || q.Total.LessThan(b.Minimum) || all.LessThan(q.Total) {
		t.Fatalf("total %s, lines %s, minimum %s, all pieces %s", q.Total, total, b.Minimum, all)
	}
}

func TestTenThousandRandomOrdersAreQuotedAndAddUp(t *testing.T) {
	for seed := range uint64(10_000) {
		p := seeded(seed)
		b, take := p.book(), p.take()
		if err := b.Check(""); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		q, err := b.Quote(take)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		checkSums(t, b, q, take.Quantity)
	}
}

func TestLinesAddUpToTheTotal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, take := drawn(t).book(), drawn(t).take()
		q, err := b.Quote(take)
		if err != nil {
			t.Fatal(err)
		}
		checkSums(t, b, q, take.Quantity)
	})
}

// TestMorePiecesNeverRaiseThePricePerPiece goes from one quantity to the next, where rounding shows, among few and among
// many pieces, and then in larger steps.
func TestMorePiecesNeverRaiseThePricePerPiece(t *testing.T) {
	for seed := range uint64(400) {
		p := seeded(seed)
		b, take := p.book(), p.take()
		if seed%2 == 1 {
			take.Quantity *= 20
		}
		var last price.Quote
		start := take.Quantity
		for i := range 80 {
			take.Quantity = start + i
			if i >= 50 {
				take.Quantity += (i - 49) * 97
			}
			q, err := b.Quote(take)
			if err != nil {
				t.Fatal(err)
			}
			if i > 0 && q.PerPiece.GreaterThan(last.PerPiece) {
				t.Fatalf("seed %d: %d pieces cost %s each, fewer cost %s", seed, take.Quantity, q.PerPiece, last.PerPiece)
			}
			last = q
		}
	}
}

// TestAPiecesPriceFallsToItsCostWithoutAStepBack goes through every quantity of cheap orders, where what a line is
// rounded by outweighs what one more piece saves.
func TestAPiecesPriceFallsToItsCostWithoutAStepBack(t *testing.T) {
	b := book()
	b.Minimum = decimal.Zero
	for _, cost := range []string{"0", "0.37", "3.10", "3.333"} {
		last := decimal.New(1, 9)
		for pieces := 1; pieces <= 4000; pieces++ {
			q, err := b.Quote(price.Take{Quantity: pieces, GarmentCost: d(cost), Prints: []price.Print{{Screens: 1, FilmM2: 0.02,
				PrintsPerHour: 270, Inks: []price.InkUse{{GramsPerPrint: 0.7, PricePerKG: d("18.50")}}}}})
			if err != nil {
				t.Fatal(err)
			}
			if q.PerPiece.GreaterThan(last) {
				t.Fatalf("shirts at %s: %d pieces cost %s each, one less %s", cost, pieces, q.PerPiece, last)
			}
			last = q.PerPiece
		}
	}
}

func TestTheSameOrderIsTheSameQuote(t *testing.T) {
	for seed := range uint64(200) {
		first, err := seeded(seed).book().Quote(price.Take{Quantity: 7, Prints: []price.Print{{Screens: 2, FilmM2: 0.1}}})
		again, err2 := seeded(seed).book().Quote(price.Take{Quantity: 7, Prints: []price.Print{{Screens: 2, FilmM2: 0.1}}})
		if err != nil || err2 != nil || !reflect.DeepEqual(first, again) {
			t.Fatalf("seed %d: %v then %v", seed, first, again)
		}
	}
}
