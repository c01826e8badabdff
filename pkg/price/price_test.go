package price_test

import (
	"fmt"
	"testing"

	"github.com/shopspring/decimal"
	"tamis/pkg/fault"
	"tamis/pkg/price"
)

func d(s string) decimal.Decimal { return decimal.RequireFromString(s) }

func book() price.Book {
	return price.Book{Currency: "EUR", ScreenSetup: d("9.50"), ScreenReclaim: d("4.00"), EmulsionPerScreen: d("1.80"),
		FilmPerM2: d("14.00"), LabourPerHour: d("38.00"), FlashPerPrint: d("0.04"), SpoilagePercent: d("2"),
		ScreenChargeG: d("40"), RushPercent: d("25"), Minimum: d("60"),
		Markups:         []price.Markup{{From: 1, Percent: d("60")}, {From: 48, Percent: d("45")}},
		BreakQuantities: []int{12, 72, 500}}
}

func Example() {
	q, _ := book().Quote(price.Take{Quantity: 72, GarmentCost: d("3.10"), Prints: []price.Print{{Screens: 1, FilmM2: 0.03,
		SetupMin: 8, PrintsPerHour: 240, Inks: []price.InkUse{{Label: "white", GramsPerPrint: 1.2, PricePerKG: d("14")}}}}})
	fmt.Println(q.Total, q.PerPiece)
	// Output: 379.72 5.28
}

// TestAOneColourOrderIsWhatAPencilGives works the Example by hand, line by line.
func TestAOneColourOrderIsWhatAPencilGives(t *testing.T) {
	q, err := book().Quote(price.Take{Quantity: 72, GarmentCost: d("3.10"), Prints: []price.Print{{Screens: 1, FilmM2: 0.03,
		SetupMin: 8, PrintsPerHour: 240, Inks: []price.InkUse{{Label: "white", GramsPerPrint: 1.2, PricePerKG: d("14")}}}}})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{
		"223.2",  // 72 x 3.10
		"4.46",   // 1.44 x 3.10 = 4.464
		"0.42",   // 0.03 m2 x 14
		"1.8",    // emulsion
		"9.5",    // screen
		"4",      // reclaim
		"1.79",   // ink: (72 x 1.02 x 1.2 + 40) g = 0.128128 kg x 14 = 1.793792
		"5.06",   // 8 min = 0.1334 h x 38 = 5.0692
		"11.62",  // 73.44 x 38/240 = 73.44 x 0.158333 = 11.627976
		"117.84", // 45 % of 261.874968 = 117.8437354
		"0.03",   // 379.7187029 is 379.72 rounded up; the lines above come to 379.69
	} {
		if !q.Lines[i].Amount.Equal(d(want)) {
			t.Errorf("line %d %s: %s, by hand %s", i, q.Lines[i].Code, q.Lines[i].Amount, want)
		}
	}
}

func TestAmountsHaveTheCurrencysDecimals(t *testing.T) {
	b := book()
	b.Currency = "JPY"
	q, _ := b.Quote(price.Take{Quantity: 7, GarmentCost: d("410"),
		Prints: []price.Print{{Screens: 1, FilmM2: 0.0333, PrintsPerHour: 90}}})
	for _, l := range q.Lines {
		if !l.Amount.Equal(l.Amount.Truncate(0)) {
			t.Errorf("%s yen of %s", l.Amount, l.Code)
		}
	}
}

func TestABookThatCannotBeIsNamedFigureByFigure(t *testing.T) {
	b := book()
	b.FilmPerM2, b.Currency = d("-1"), "EURO"
	b.Markups = []price.Markup{{From: 1, Percent: d("10")}, {From: 50, Percent: d("20")}}
	if faults := fault.All(b.Check("")); len(faults) != 3 {
		t.Errorf("want film, currency and markup named, got %v", faults)
	}
	if _, err := book().Quote(price.Take{Quantity: 0}); !fault.Is(err, fault.Invalid) {
		t.Errorf("no pieces: %v", err)
	}
}
