package shop_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"tamis/pkg/color"
	"tamis/pkg/fault"
	"tamis/pkg/shop"
)

func Example() {
	s := shop.Default()
	device, ok := s.Devices.Find("laser-1200")
	fmt.Println(device.Film().XDPI, ok, s.Prices.Book().Currency, s.Check())
	// Output: 1200 true EUR <nil>
}

func TestTheDefaultShopPassesItsOwnCheck(t *testing.T) {
	if err := shop.Default().Check(); err != nil {
		t.Error(err)
	}
}

// TestInksLookLikeTheirMeasurement compares the colour shown for an ink with its solid over white. Tolerance 10: deep
// and bright inks, process cyan most, lie outside sRGB and are clipped to it.
func TestInksLookLikeTheirMeasurement(t *testing.T) {
	for _, i := range shop.Default().Inks.Inks {
		shown, err := color.ParseHex(i.Hex)
		if err != nil {
			t.Fatal(err)
		}
		over := i.Ink()
		if d := color.DeltaE00(shown.Lab(), over.OverWhite); d > 10 {
			t.Errorf("%s: %s is %.1f from its solid", i.ID, i.Hex, d)
		}
		if over.OverBlack.L > over.OverWhite.L {
			t.Errorf("%s is lighter over black", i.ID)
		}
	}
}

func TestOneBadValueIsNamedWithItsPlace(t *testing.T) {
	s := shop.Default()
	s.Inks.Inks[2].LabOverWhite[0] = 120
	s.Inks.Inks[3].ID = s.Inks.Inks[2].ID
	s.Meshes.Meshes[1].ThreadUM = 400
	s.Devices.Devices[0].XDPI = 72
	s.Presses.Presses[0].Transfer = 1.5
	s.Profile.DefaultPress = "none"
	got := map[string]bool{}
	for _, f := range fault.All(s.Check()) {
		got[f.Field] = true
	}
	for _, field := range []string{"/inks/2/lab_over_white/0", "/inks/3/id", "/meshes/1/thread_um", "/devices/0/x_dpi",
		"/presses/0/transfer", "/default_press"} {
		if !got[field] {
			t.Errorf("%s is not named; named were %v", field, got)
		}
	}
}

func TestAmountsStayWhatTheyWere(t *testing.T) {
	for text, want := range map[string]string{"3.10": "3.10", "3": "3.00", "0.0905": "0.0905", "12.345678": "12.345678", "-5": "-5.00"} {
		a, err := shop.ParseAmount(text)
		if err != nil {
			t.Fatal(err)
		}
		data, _ := json.Marshal(a)
		var back shop.Amount
		if string(data) != `"`+want+`"` || json.Unmarshal(data, &back) != nil || !back.Equal(a.Decimal) {
			t.Errorf("%s became %s", text, data)
		}
	}
	for _, text := range []string{"", "--1", "+1", "1e3", "1.", ".5", "1,5", strings.Repeat("9", 10), "1.1234567", "NaN"} {
		if _, err := shop.ParseAmount(text); !fault.Is(err, fault.Malformed) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestAScaleLeftOutIsOne(t *testing.T) {
	d := shop.Device{XDPI: 1440, YDPI: 720, WidthMM: 330}.Film()
	if d.ScaleX != 1 || d.ScaleY != 1 {
		t.Errorf("%+v", d)
	}
}

func TestGroundIsTheGarmentsColour(t *testing.T) {
	lab, err := shop.GroundOf("#17181a") // by LittleCMS: 8.2008 -0.0962 -1.5909
	if err != nil || math.Abs(lab.L-8.2008) > 0.01 || math.Abs(lab.B+1.5909) > 0.01 {
		t.Errorf("%+v %v", lab, err)
	}
}

// TestAMarginIsAMarkUpOfTheCost: 45 % of the price is 81.818182 % of the cost; 350.71 of cost then sell at 637.65, of
// which 286.94 is 45 %.
func TestAMarginIsAMarkUpOfTheCost(t *testing.T) {
	percent := func(s string) *shop.Amount { a := shop.MustAmount(s); return &a }
	for margin, want := range map[string]string{"0": "0", "20": "25", "45": "81.818182", "50": "100", "90": "900"} {
		if got := (shop.Markup{From: 1, MarginPercent: percent(margin)}).OnCost(); got.String() != want {
			t.Errorf("margin %s: %s, want %s", margin, got, want)
		}
	}
	for _, r := range []struct {
		markups []shop.Markup
		field   string
	}{
		{[]shop.Markup{{From: 1, Percent: percent("45")}, {From: 50, MarginPercent: percent("20")}}, ""},
		{[]shop.Markup{{From: 1, MarginPercent: percent("20")}, {From: 50, Percent: percent("26")}}, "/markups/1/percent"},
		{[]shop.Markup{{From: 1, MarginPercent: percent("20"), Percent: percent("25")}}, "/markups/0/margin_percent"},
		{[]shop.Markup{{From: 1, MarginPercent: percent("100")}}, "/markups/0/margin_percent"},
		{[]shop.Markup{{From: 1}}, "/markups/0/percent"},
	} {
		p := shop.Default().Prices
		p.Markups = r.markups
		if got := fault.Of(p.Check()).Field; p.Check() == nil != (r.field == "") || r.field != "" && got != r.field {
			t.Errorf("%+v: %v, want a fault at %q", r.markups, p.Check(), r.field)
		}
	}
}

func TestASiteIsAnAddressWithoutAPath(t *testing.T) {
	for site, stands := range map[string]bool{"": true, "https://films.example": true, "http://10.0.0.7:8080": true,
		"films.example": false, "https://films.example/shop": false, "ftp://films.example": false, "https://a:b@films.example": false,
		"https://": false} {
		p := shop.Default().Profile
		p.Site = site
		if (p.Check() == nil) != stands {
			t.Errorf("%q: %v", site, p.Check())
		}
	}
}
