package price_test

import (
	"testing"

	"github.com/shopspring/decimal"

	"tamis/pkg/price"
)

// codes lists the lines of a quote by code; lines of one code are added up.
func codes(t *testing.T, b price.Book, take price.Take) map[string]decimal.Decimal {
	t.Helper()
	q, err := b.Quote(take)
	if err != nil {
		t.Fatal(err)
	}
	amounts := map[string]decimal.Decimal{"total": q.Total}
	for _, l := range q.Lines {
		amounts[l.Code] = amounts[l.Code].Add(l.Amount)
	}
	return amounts
}

// order is 100 pieces on 2 screens: 300.00 of garments, 0.5 m2 of film, 30 minutes of set-up, 200 prints an hour, one flash.
func order() price.Take {
	return price.Take{Quantity: 100, GarmentCost: d("3"), Prints: []price.Print{{Screens: 2, FilmM2: 0.5, SetupMin: 30,
		PrintsPerHour: 200, Flashes: 1, Inks: []price.InkUse{{Label: "white", GramsPerPrint: 2, PricePerKG: d("20")}}}}}
}

func TestEveryRuleOfTheBookIsALine(t *testing.T) {
	for name, r := range map[string]struct {
		change func(*price.Book, *price.Take)
		want   map[string]string // by hand; "" for a line that must not be there
	}{
		"plain": {func(*price.Book, *price.Take) {}, map[string]string{"garments": "300", "spoilage": "6", "film": "7",
			"emulsion": "3.6", "screens": "19", "reclaim": "8", "ink": "4.88", "press_setup": "19", "press_run": "19.38",
			"flash": "4.08", "margin": "175.92", "rounding": "0.01", "total": "566.87", "rush": "", "minimum": ""}}, // 45 % of 390.94: 175.923
		"kept screens": {func(_ *price.Book, t *price.Take) { t.Prints[0].Kept = true }, map[string]string{"film": "", "emulsion": "",
			"screens": "", "reclaim": "", "ink": "4.88", "press_setup": "19", "margin": "159", "total": "512.35"}}, // 353.34
		"rush": {func(_ *price.Book, t *price.Take) { t.Rush = true }, map[string]string{"rush": "141.71",
			"total": "708.58"}}, // a quarter of 566.863, above: 141.7157; 708.57875
		"minimum": {func(b *price.Book, _ *price.Take) { b.Minimum = d("600") }, map[string]string{"minimum": "33.13",
			"total": "600"}}, // 600 less 566.863: 33.137
		"rush on the minimum": {func(b *price.Book, t *price.Take) { b.Minimum, t.Rush = d("600"), true }, map[string]string{
			"minimum": "33.13", "rush": "150", "total": "750"}},
		"minimum met": {func(b *price.Book, _ *price.Take) { b.Minimum = d("566.86") }, map[string]string{"minimum": ""}},
		"first mark-up": {func(_ *price.Book, t *price.Take) { t.Quantity = 47 }, map[string]string{"garments": "141",
			"spoilage": "2.82", "ink": "2.71", "margin": "128.49"}}, // 60 % of 214.1638, ink 2.7176 in it
		"no mark-up": {func(b *price.Book, _ *price.Take) { b.Markups = nil }, map[string]string{"margin": "",
			"total": "390.94"}},
		"no spoilage": {func(b *price.Book, _ *price.Take) { b.SpoilagePercent = decimal.Zero }, map[string]string{
			"spoilage": "", "ink": "4.8", "press_run": "19", "flash": "4"}}, // 100 x 2 g + 40 g
		"no charge left in the screen": {func(b *price.Book, _ *price.Take) { b.ScreenChargeG = decimal.Zero },
			map[string]string{"ink": "4.08"}}, // 102 x 2 g
		"no press speed": {func(_ *price.Book, t *price.Take) { t.Prints[0].PrintsPerHour = 0 }, map[string]string{"press_run": ""}},
	} {
		b, take := book(), order()
		r.change(&b, &take)
		got := codes(t, b, take)
		for code, want := range r.want {
			amount, there := got[code]
			if want == "" && there || want != "" && !amount.Equal(d(want)) {
				t.Errorf("%s: %s is %s, by hand %q", name, code, amount, want)
			}
		}
	}
}
