// Package price turns what a print takes into an itemised quote, in exact decimals.
//
// In go a shop's price book and what a job takes: screens, film, ink, minutes, garments. Out comes a quote whose lines
// add up to its total to the last digit. It knows no artwork and no HTTP.
//
// Rounding is stated and in one place. A line's amount is its quantity times its unit price, rounded down to the
// currency's minor unit (ISO 4217). Percentages are taken of the exact cost, before rounding. The total is the exact cost
// rounded up, and a last line lists what the lines lost, less than a minor unit each. The price per piece is the total
// over the quantity, rounded up. Ours: lines rounded half up, each on its own, made 1,411 pieces a cent dearer each than
// 1,410 (TestAPiecesPriceFallsToItsCostWithoutAStepBack finds it); the exact cost a piece never rises, and rounding up
// twice is rounding up once: ceil(ceil(x)/n) = ceil(x/n).
package price

import (
	"github.com/shopspring/decimal"

	"tamis/pkg/fault"
)

// Markup adds Percent to the cost of orders of From pieces or more.
type Markup struct {
	From    int
	Percent decimal.Decimal
}

// Book is a shop's prices in one currency. Money figures are not negative. SpoilagePercent is the share of garments
// reckoned lost, bought and printed all the same; ScreenChargeG the ink that stays in a screen and is thrown away; RushPercent is added in the rush
// lane, to the minimum too; Markups ascend in From and fall in Percent, the first from 1; BreakQuantities are the quantities every quote is also priced at.
type Book struct {
	Currency          string
	ScreenSetup       decimal.Decimal // per screen: stretching wear, degreasing, coating, exposing, washing out
	ScreenReclaim     decimal.Decimal // per screen
	EmulsionPerScreen decimal.Decimal
	FilmPerM2         decimal.Decimal
	LabourPerHour     decimal.Decimal
	FlashPerPrint     decimal.Decimal
	SpoilagePercent   decimal.Decimal
	ScreenChargeG     decimal.Decimal
	RushPercent       decimal.Decimal
	Minimum           decimal.Decimal
	Markups           []Markup
	BreakQuantities   []int
}

// minorUnits are the ISO 4217 currencies whose minor unit is not a hundredth. Source: ISO 4217 list one.
var minorUnits = map[string]int32{"BHD": 3, "CLP": 0, "IQD": 3, "ISK": 0, "JOD": 3, "JPY": 0, "KRW": 0, "KWD": 3,
	"LYD": 3, "OMR": 3, "PYG": 0, "TND": 3, "UGX": 0, "VND": 0, "XAF": 0, "XOF": 0, "XPF": 0}

// MinorUnits is the number of decimals of a currency: 2 unless ISO 4217 says otherwise.
func MinorUnits(currency string) int32 {
	if n, ok := minorUnits[currency]; ok {
		return n
	}
	return 2
}

// Check names every figure of the book that cannot be. field is the JSON pointer of the price document.
func (b Book) Check(field string) error {
	var faults fault.List
	if len(b.Currency) != 3 {
		faults.Add(fault.Invalidf(field+"/currency", "currency", "%q is not an ISO 4217 code of three letters", b.Currency))
	}
	for _, m := range []struct {
		name  string
		value decimal.Decimal
	}{{"screen_setup", b.ScreenSetup}, {"screen_reclaim", b.ScreenReclaim}, {"emulsion_per_screen", b.EmulsionPerScreen},
		{"film_per_m2", b.FilmPerM2}, {"labour_per_hour", b.LabourPerHour}, {"flash_per_print", b.FlashPerPrint},
		{"spoilage_percent", b.SpoilagePercent}, {"screen_charge_g", b.ScreenChargeG},
		{"rush_percent", b.RushPercent}, {"minimum", b.Minimum}} {
		if m.value.IsNegative() {
			faults.Add(fault.Invalidf(field+"/"+m.name, "negative", "%s is below zero", m.value))
		}
	}
	faults.Add(checkMarkups(field, b.Markups))
	return faults.Err()
}

func checkMarkups(field string, markups []Markup) error {
	for i, m := range markups {
		switch {
		case m.Percent.IsNegative():
			return fault.Invalidf(field+"/markups", "negative", "a markup of %s percent is below zero", m.Percent)
		case i == 0 && m.From != 1:
			return fault.Invalidf(field+"/markups", "first_markup", "the first markup starts at %d pieces; it must start at 1", m.From)
		case i > 0 && m.From <= markups[i-1].From:
			return fault.Invalidf(field+"/markups", "markup_order", "markups must ascend: %d after %d pieces",
				m.From, markups[i-1].From)
		case i > 0 && m.Percent.GreaterThan(markups[i-1].Percent):
			return fault.Invalidf(field+"/markups", "markup_rises",
				"the markup rises to %s percent from %d pieces: more pieces would cost more each", m.Percent, m.From)
		}
	}
	return nil
}

// markup is the percentage for a quantity; no markups, no addition.
func (b Book) markup(quantity int) decimal.Decimal {
	percent := decimal.Zero
	for _, m := range b.Markups {
		if quantity >= m.From {
			percent = m.Percent
		}
	}
	return percent
}
