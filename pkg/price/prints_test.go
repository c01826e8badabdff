package price_test

import (
	"fmt"
	"reflect"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"tamis/pkg/fault"
	"tamis/pkg/price"
)

// prints is what an order of 1 to 4 prints takes; each but the first is on some of the pieces, some from the screens of
// the first.
func (p pick) prints() price.Take {
	t := p.take()
	for i := range p("prints", 3) {
		one := p.print()
		one.Label, one.Quantity, one.Shared = fmt.Sprint("print ", i+2), p("some", t.Quantity), p("shared", 4) == 0
		t.Prints = append(t.Prints, one)
	}
	return t
}

func quoted(t *testing.T, b price.Book, take price.Take) price.Quote {
	t.Helper()
	q, err := b.Quote(take)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func TestAThousandOrdersOfSeveralPrintsAddUp(t *testing.T) {
	for seed := range uint64(1000) {
		p := seeded(seed + 1<<33)
		b, take := p.book(), p.prints()
		q := quoted(t, b, take)
		checkSums(t, b, q, take.Quantity)
		if len(take.Prints) == 1 {
			continue
		}
		fewer := take
		fewer.Prints = take.Prints[:len(take.Prints)-1]
		if less := quoted(t, b, fewer); less.Total.GreaterThan(q.Total) {
			t.Fatalf("seed %d: %d prints cost %s, one less %s", seed, len(take.Prints), q.Total, less.Total)
		}
	}
}

// TestMorePiecesOfSeveralPrintsNeverRaiseThePricePerPiece reads the breaks from piece to piece and then in larger steps:
// every print keeps its share.
func TestMorePiecesOfSeveralPrintsNeverRaiseThePricePerPiece(t *testing.T) {
	for seed := range uint64(1000) {
		p := seeded(seed + 1<<34)
		b, take := p.book(), p.prints()
		b.BreakQuantities = nil
		start := 1 + p("start", 300)
		for i := range 30 {
			b.BreakQuantities = append(b.BreakQuantities, start+i+max(0, i-20)*137)
		}
		b.BreakQuantities = append(b.BreakQuantities, take.Quantity)
		breaks, err := b.Breaks(take)
		if err != nil {
			t.Fatal(err)
		}
		own := breaks[len(breaks)-1]
		if q := quoted(t, b, take); !q.Total.Equal(own.Total) || !q.PerPiece.Equal(own.PerPiece) {
			t.Fatalf("seed %d: the order costs %s, its own quantity as a break %s", seed, q.Total, own.Total)
		}
		slices.SortFunc(breaks, func(a, b price.Break) int { return a.Quantity - b.Quantity })
		for i := 1; i < len(breaks); i++ {
			if breaks[i].PerPiece.GreaterThan(breaks[i-1].PerPiece) {
				t.Fatalf("seed %d: %d pieces cost %s each, %d cost %s", seed, breaks[i].Quantity, breaks[i].PerPiece,
					breaks[i-1].Quantity, breaks[i-1].PerPiece)
			}
		}
	}
}

func TestAPrintOnAllPiecesIsAsOneWithoutAQuantity(t *testing.T) {
	for seed := range uint64(1000) {
		p := seeded(seed + 1<<35)
		b, take := p.book(), p.take()
		plain := quoted(t, b, take)
		take.Prints[0].Quantity = take.Quantity
		if all := quoted(t, b, take); !reflect.DeepEqual(all, plain) {
			t.Fatalf("seed %d: %v\n%v", seed, all, plain)
		}
	}
}

// TestTwoPrintsAreWhatAPencilGives adds a back on a quarter of the garments to the order of the other rules, and a second
// print from the same screens.
func TestTwoPrintsAreWhatAPencilGives(t *testing.T) {
	b, take := book(), order()
	take.Prints[0].Label = "front"
	back := price.Print{Label: "back", Quantity: 25, Screens: 1, FilmM2: 0.1, SetupMin: 15, PrintsPerHour: 200,
		Inks: []price.InkUse{{Label: "red", GramsPerPrint: 4, PricePerKG: d("30")}}}
	again := back
	again.Label, again.Quantity, again.Shared = "nape", 0, true
	take.Prints = append(take.Prints, back, again)
	q := quoted(t, b, take)
	got := map[string]decimal.Decimal{}
	for _, l := range q.Lines {
		got[fmt.Sprint(l.Print, " ", l.Code, " ", l.Label)] = l.Amount
	}
	for line, want := range map[string]string{
		"0 garments Garments":                              "300",
		"1 film Film (front)":                              "7",
		"1 press_run Press: run (front)":                   "19.38", // 102 x 0.19
		"2 film Film (back)":                               "1.4",
		"2 screens Screens: coat, expose, wash out (back)": "9.5",
		"2 ink Ink: red (back)":                            "4.26", // (25 x 1.02 x 4 + 40) g x 30 = 4.26
		"2 press_setup Press: hang and register (back)":    "9.5",
		"2 press_run Press: run (back)":                    "4.84",  // 25.5 x 0.19
		"3 ink Ink: red (nape)":                            "12.24", // 102 x 4 g x 30
		"3 press_run Press: run (nape)":                    "19.38",
		"0 margin Mark-up on cost":                         "206.03", // 45 % of 390.94 + 35.305 + 31.62: 206.03925
	} {
		if amount, there := got[line]; !there || !amount.Equal(d(want)) {
			t.Errorf("%s: %s, by hand %s", line, amount, want)
		}
	}
	for line := range got {
		if line == "3 film Film (nape)" || line == "3 press_setup Press: hang and register (nape)" {
			t.Errorf("%s: the screens hang already", line)
		}
	}
}

func TestAPrintOnMorePiecesThanThereAreIsRefused(t *testing.T) {
	take := order()
	take.Prints[0].Quantity = 101
	if _, err := book().Quote(take); !fault.Is(err, fault.Invalid) {
		t.Errorf("%v", err)
	}
}
