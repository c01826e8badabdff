package shop

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// Most entries of the price book's lists, and the largest quantity one speaks of.
const (
	maxMarkups  = 50
	maxBreaks   = 20
	maxQuantity = 1_000_000
)

// currencies are the codes of money in use. Source: ISO 4217 list one, without funds, metals and test codes.
const currencies = "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD " +
	"CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ GYD " +
	"HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD " +
	"MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG " +
	"QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD " +
	"TZS UAH UGX USD UYU UZS VES VND VUV WST XAF XCD XCG XOF XPF YER ZAR ZMW ZWG"

func knownCurrency(code string) bool {
	return len(code) == 3 && !strings.Contains(code, " ") && strings.Contains(" "+currencies+" ", " "+code+" ")
}

// Check names every value of the document that cannot be.
func (p Prices) Check() error {
	c, money := &checker{}, p.Currency
	if !knownCurrency(p.Currency) {
		c.Addf("/currency", "currency", "%.20q is not a currency of ISO 4217, such as EUR", p.Currency)
		money = "of money"
	}
	for _, m := range []struct {
		field string
		value Amount
		most  int64
		unit  string
	}{
		{"/screen_setup", p.ScreenSetup, 10_000_000, money}, {"/screen_reclaim", p.ScreenReclaim, 10_000_000, money},
		{"/emulsion_per_screen", p.EmulsionPerScreen, 10_000_000, money}, {"/film_per_m2", p.FilmPerM2, 10_000_000, money},
		{"/labour_per_hour", p.LabourPerHour, 10_000_000, money}, {"/flash_per_print", p.FlashPerPrint, 1_000_000, money},
		{"/spoilage_percent", p.SpoilagePercent, 50, "percent"}, {"/screen_charge_g", p.ScreenChargeG, 5000, "g"},
		{"/rush_percent", p.RushPercent, 500, "percent"}, {"/minimum", p.Minimum, 100_000_000, money},
	} {
		c.amount(m.field, m.value, m.most, m.unit)
	}
	c.markups(p.Markups)
	c.breaks(p.BreakQuantities)
	return c.Err()
}

func (c *checker) amount(field string, a Amount, most int64, unit string) {
	if a.IsNegative() || a.GreaterThan(decimal.NewFromInt(most)) {
		c.Addf(field, "out_of_range", "%s %s; 0 to %d can be", a, unit, most)
	}
}

// markups wants quantities that rise from 1 and percentages that do not, a mark-up or a margin each: else more pieces
// would cost more each.
func (c *checker) markups(all []Markup) {
	if len(all) > maxMarkups {
		c.Addf("/markups", "list_length", "%d entries; 0 to %d can be", len(all), maxMarkups)
		return
	}
	for i, m := range all {
		at := fmt.Sprintf("/markups/%d", i)
		c.Between(at+"/from", float64(m.From), 1, maxQuantity, " pieces")
		stands := c.earnings(at, m)
		switch {
		case i == 0 && m.From != 1:
			c.Addf(at+"/from", "first_markup", "the first markup starts at %d pieces; it must start at 1", m.From)
		case i > 0 && m.From <= all[i-1].From:
			c.Addf(at+"/from", "markup_order", "markups must rise: %d after %d pieces", m.From, all[i-1].From)
		}
		if i > 0 && stands && all[i-1].stands() && m.OnCost().GreaterThan(all[i-1].OnCost()) {
			c.Addf(at+"/percent", "markup_rises", "%s percent of the cost from %d pieces after %s: more pieces would cost more "+
				"each", m.OnCost(), m.From, all[i-1].OnCost())
		}
	}
}

// stands tells whether just one of mark-up and margin is given, and a margin that a price can have.
func (m Markup) stands() bool {
	return (m.Percent == nil) != (m.MarginPercent == nil) &&
		(m.MarginPercent == nil || m.MarginPercent.LessThan(decimal.NewFromInt(100)))
}

// earnings checks an entry's mark-up or margin and tells whether it stands.
func (c *checker) earnings(at string, m Markup) bool {
	const mostMargin = 90 // Ours: a mark-up of 900 percent
	switch {
	case m.Percent != nil && m.MarginPercent != nil:
		c.Addf(at+"/margin_percent", "both_given", "a mark-up of %s percent of the cost stands beside it; give one of the two",
			m.Percent)
	case m.Percent != nil:
		c.amount(at+"/percent", *m.Percent, 1000, "percent")
	case m.MarginPercent != nil:
		c.amount(at+"/margin_percent", *m.MarginPercent, mostMargin, "percent")
	default:
		c.Addf(at+"/percent", "missing", "nothing stands here; a percent of the cost is wanted, or a margin_percent of the price")
	}
	return m.stands()
}

func (c *checker) breaks(quantities []int) {
	if len(quantities) > maxBreaks {
		c.Addf("/break_quantities", "list_length", "%d entries; 0 to %d can be", len(quantities), maxBreaks)
		return
	}
	for i, q := range quantities {
		at := fmt.Sprintf("/break_quantities/%d", i)
		c.Between(at, float64(q), 1, maxQuantity, " pieces")
		if i > 0 && q <= quantities[i-1] {
			c.Addf(at, "break_order", "quantities must rise: %d after %d", q, quantities[i-1])
		}
	}
}
