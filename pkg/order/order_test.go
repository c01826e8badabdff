package order_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"tamis/pkg/fault"
	"tamis/pkg/order"
)

const least = `{"artwork_id":"art_1","print":{"width_mm":300},"garment":{"color":"#17181A","unit_cost":"3.10"},"quantity":72}`

func Example() {
	o, _ := order.Parse([]byte(least))
	o, err := o.Complete()
	fmt.Println(o.Separation.Method, o.Halftone.Kind, *o.Film.MarginMM, o.Film.Formats, err)
	// Output: auto  20 [tiff pdf] <nil>
}

// TestStrictReadingNamesTheFault covers what a lenient decoder lets through: each was seen to pass one.
func TestStrictReadingNamesTheFault(t *testing.T) {
	for name, r := range map[string]struct{ body, code, field string }{
		"empty":            {``, "empty_body", ""},
		"not JSON":         {`{"quantity":}`, "json", "/quantity"},
		"cut short":        {`{"quantity":7`, "json", ""},
		"trailing bytes":   {least + `{}`, "json", ""},
		"unknown field":    {`{"artwrok_id":"x"}`, "unknown_field", "/artwrok_id"},
		"unknown, nested":  {`{"halftone":{"lip":55}}`, "unknown_field", "/halftone/lip"},
		"wrong case":       {`{"Quantity":7}`, "unknown_field", "/Quantity"},
		"repeated":         {`{"quantity":7,"quantity":8}`, "repeated_field", "/quantity"},
		"repeated, nested": {`{"print":{"width_mm":1,"width_mm":2}}`, "repeated_field", "/print/width_mm"},
		"a string":         {`{"quantity":"7"}`, "wrong_type", "/quantity"},
		"a fraction":       {`{"quantity":7.5}`, "wrong_type", "/quantity"},
		"too large":        {`{"quantity":1e99}`, "wrong_type", "/quantity"},
		"out of range":     {`{"print":{"width_mm":1e999}}`, "number_range", "/print/width_mm"},
		"a long integer":   {`{"quantity":99999999999999999999}`, "number_range", "/quantity"},
		"float money":      {`{"garment":{"unit_cost":3.1}}`, "amount", "/garment/unit_cost"},
		"device number":    {`{"film":{"device":7}}`, "device", "/film/device"},
		"device's field":   {`{"film":{"device":{"xdpi":7}}}`, "unknown_field", "/film/device/xdpi"},
		"device's number":  {`{"film":{"device":{"x_dpi":"7"}}}`, "wrong_type", "/film/device/x_dpi"},
		"a list":           {`[]`, "wrong_type", ""},
	} {
		_, err := order.Parse([]byte(r.body))
		f := fault.Of(err)
		if f.Kind != fault.Malformed || f.Code != r.code || f.Field != r.field {
			t.Errorf("%s: %d %s at %q (%s), want %s at %q", name, f.Kind, f.Code, f.Field, f.Msg, r.code, r.field)
		}
		if strings.Contains(f.Msg, "Go ") || strings.Contains(f.Msg, "struct") {
			t.Errorf("%s: the message tells of Go: %s", name, f.Msg)
		}
	}
}

func TestEveryValueThatCannotBeIsNamed(t *testing.T) {
	o, err := order.Parse([]byte(`{"print":{"width_mm":1,"placement":"\u0007"},"garment":{"color":"black","unit_cost":"-1"},
		"quantity":0,"separation":{"method":"magic","max_screens":40,"choke_mm":-1},"halftone":{"lpi":500,"dot":"star"},
		"film":{"formats":["gif"],"reading":"sideways","margin_mm":900,"device":{"x_dpi":10,"y_dpi":720,"width_mm":330}},
		"lane":"fast"}`))
	if err != nil {
		t.Fatal(err)
	}
	_, err = o.Complete()
	got := map[string]bool{}
	for _, f := range fault.All(err) {
		got[f.Field] = true
		if f.Kind != fault.Invalid || f.Msg == "" {
			t.Errorf("%+v", f)
		}
	}
	for _, field := range []string{"/artwork_id", "/print/width_mm", "/print/placement", "/garment/color", "/garment/unit_cost", "/quantity",
		"/separation/method", "/separation/max_screens", "/separation/choke_mm", "/halftone/lpi", "/halftone/dot",
		"/film/formats", "/film/reading", "/film/margin_mm", "/film/device/x_dpi", "/lane"} {
		if !got[field] {
			t.Errorf("%s is not named", field)
		}
	}
}

func TestAnInlineDeviceIsCheckedAsTheShopsDevicesAre(t *testing.T) {
	for device, want := range map[string]string{
		`"dmin":0.9,"dmax":0.1`: "/film/device/dmax",
		`"dmin":0.9`:            "",
		`"name":"` + strings.Repeat("n", 500) + `"`: "/film/device/name",
		`"name":"roll\u0007"`:                       "/film/device/name",
		`"technology":"smoke"`:                      "/film/device/technology",
	} {
		o, err := order.Parse([]byte(strings.Replace(least, "{",
			`{"film":{"device":{"x_dpi":720,"y_dpi":720,"width_mm":330,`+device+`}},`, 1)))
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if _, err = o.Complete(); err != nil {
			got = fault.Of(err).Field
		}
		if got != want {
			t.Errorf("%.40s: a fault at %q, want %q (%v)", device, got, want, err)
		}
	}
}

func TestSplitFilmsOverlapByTenMillimetresUnlessToldOtherwise(t *testing.T) {
	for _, c := range []struct {
		film  string
		want  float64
		field string
	}{
		{`{"split":true}`, 10, ""},
		{`{"split":true,"overlap_mm":4}`, 4, ""},
		{`{"split":true,"overlap_mm":0.5}`, 0.5, "/film/overlap_mm"},
		{`{"overlap_mm":4}`, 4, "/film/overlap_mm"},
	} {
		o, err := order.Parse([]byte(strings.Replace(least, "{", `{"film":`+c.film+",", 1)))
		if err != nil {
			t.Fatal(err)
		}
		o, err = o.Complete()
		if o.Film.OverlapMM != c.want || (err == nil) != (c.field == "") || err != nil && fault.Of(err).Field != c.field {
			t.Errorf("%s: overlap %g mm, %v; want %g and a fault at %q", c.film, o.Film.OverlapMM, err, c.want, c.field)
		}
	}
}

func TestAnInlineDeviceIsRead(t *testing.T) {
	o, err := order.Parse([]byte(`{"film":{"device":{"x_dpi":1440,"y_dpi":720,"width_mm":330,"scale_x":1.0031,"scale_y":0.9987,"dmax":3.4}}}`))
	if err != nil || o.Film.Device.Inline == nil || o.Film.Device.Inline.ScaleX != 1.0031 {
		t.Fatalf("%+v %v", o.Film.Device, err)
	}
	if o, err = order.Parse([]byte(`{"film":{"device":"laser-1200"}}`)); err != nil || o.Film.Device.ID != "laser-1200" {
		t.Fatalf("%+v %v", o.Film.Device, err)
	}
}

func TestTwoOrdersThatMeanTheSameAreTheSameBytes(t *testing.T) {
	a, _ := order.Parse([]byte(least))
	b, err := order.Parse([]byte(`{"quantity":72, "film":{"formats":["tiff","pdf"],"margin_mm":20.0,"device":null},
		"garment":{"unit_cost":"3.1","color":"#17181a"}, "print":{"placement":"front","width_mm":300.0},"artwork_id":"art_1",
		"halftone":{"lpi":null}}`))
	if err != nil {
		t.Fatal(err)
	}
	a, _ = a.Complete()
	b, _ = b.Complete()
	if !bytes.Equal(a.Canonical(), b.Canonical()) {
		t.Errorf("\n%s\n%s", a.Canonical(), b.Canonical())
	}
}

func TestTheCanonicalFormReadsBackAsItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, err := order.Parse([]byte(least))
		if err != nil {
			t.Fatal(err)
		}
		o.Print.WidthMM = rapid.Float64Range(5, 3000).Draw(t, "width")
		o.Quantity = rapid.IntRange(1, 1000).Draw(t, "quantity")
		o.OrderRef = rapid.StringN(0, 40, -1).Filter(func(s string) bool { return !strings.ContainsFunc(s, bad) }).Draw(t, "ref")
		if rapid.Bool().Draw(t, "asked") {
			lpi := rapid.Float64Range(15, 120).Draw(t, "lpi")
			o.Halftone.LPI = &lpi
		}
		o, err = o.Complete()
		if err != nil {
			t.Fatal(err)
		}
		again, err := order.Parse(o.Canonical())
		if err != nil {
			t.Fatal(err)
		}
		again, err = again.Complete()
		if err != nil || !bytes.Equal(again.Canonical(), o.Canonical()) {
			t.Fatalf("%v\n%s\n%s", err, o.Canonical(), again.Canonical())
		}
	})
}

func bad(r rune) bool {
	return r == '�' || unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
}

// FuzzParse: whatever comes in, the fault is the caller's, never ours, and an order that is read has a canonical form.
func FuzzParse(f *testing.F) {
	for _, seed := range []string{least, `{"film":{"device":{"x_dpi":1440}}}`, `{"halftone":{"lpi":null}}`, string(several(front+","+back, "")), `[[[[`, `{"a":1}`} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		o, err := order.Parse(body)
		if err == nil {
			o, err = o.Complete()
		}
		if err != nil {
			for _, one := range fault.All(err) {
				if one.Kind != fault.Malformed && one.Kind != fault.Invalid {
					t.Fatalf("%q: %+v", body, one)
				}
			}
			return
		}
		o.Canonical()
	})
}
