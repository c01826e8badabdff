package order_test

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/order"
)

// several is an order of prints; extra is further JSON of the order, beginning with a comma.
func several(entries, extra string) []byte {
	return fmt.Appendf(nil, `{"prints":[%s],"garment":{"color":"#17181a","unit_cost":"3.10"},"quantity":72%s}`, entries, extra)
}

const (
	front = `{"artwork_id":"art_1","print":{"width_mm":300}}`
	youth = `{"artwork_id":"art_1","print":{"width_mm":220},"quantity":32}`
	back  = `{"artwork_id":"art_2","print":{"width_mm":280,"placement":"back"},"separation":{"max_screens":2},
		"halftone":{"lpi":45},"mesh":{"threads_per_cm":77},"film":{"formats":["tiff"]}}`
)

func completed(t *testing.T, body []byte) order.Order {
	t.Helper()
	o, err := order.Parse(body)
	if err != nil {
		t.Fatal(err)
	}
	if o, err = o.Complete(); err != nil {
		t.Fatal(err)
	}
	return o
}

func TestAPrintOfSeveralIsAnOrderOfItsOwn(t *testing.T) {
	o := completed(t, several(front+","+youth+","+back, `,"separation":{"underbase":"off"}`))
	if o.Count() != 3 || completed(t, []byte(least)).Count() != 1 {
		t.Fatalf("%d prints", o.Count())
	}
	for n, want := range map[int]string{
		1: `{"artwork_id":"art_1","print":{"width_mm":300},"quantity":72,"separation":{"underbase":"off"},`,
		2: `{"artwork_id":"art_1","print":{"width_mm":220},"quantity":32,"separation":{"underbase":"off"},`,
		3: `{"artwork_id":"art_2","print":{"width_mm":280,"placement":"back"},"quantity":72,"separation":{"max_screens":2},
			"halftone":{"lpi":45},"mesh":{"threads_per_cm":77},"film":{"formats":["tiff"]},`,
	} {
		alone := completed(t, []byte(want+`"garment":{"color":"#17181a","unit_cost":"3.10"}}`))
		if got := o.One(n).Canonical(); !bytes.Equal(got, alone.Canonical()) {
			t.Errorf("print %d:\n%s\n%s", n, got, alone.Canonical())
		}
	}
}

func TestOrdersOfSeveralPrintsThatMeanTheSameAreTheSameBytes(t *testing.T) {
	o := completed(t, several(front+","+youth, ""))
	same := completed(t, []byte(`{"quantity":72,"garment":{"unit_cost":"3.1","color":"#17181A"},"prints":[
		{"print":{"placement":"front","width_mm":300.0},"artwork_id":"art_1","quantity":72,"separation":{},"mesh":null},
		{"quantity":32,"film":{"formats":["tiff","pdf"]},"artwork_id":"art_1","print":{"width_mm":220},"halftone":{"dot":"round"}}]}`))
	if !bytes.Equal(o.Canonical(), same.Canonical()) {
		t.Errorf("\n%s\n%s", o.Canonical(), same.Canonical())
	}
	if again := completed(t, o.Canonical()); !bytes.Equal(again.Canonical(), o.Canonical()) {
		t.Errorf("read back:\n%s\n%s", again.Canonical(), o.Canonical())
	}
}

// TestAnOrderOfOnePrintKeepsItsCanonicalForm holds what quote ids and stored results are addressed by.
func TestAnOrderOfOnePrintKeepsItsCanonicalForm(t *testing.T) {
	const want = `{"artwork_id":"art_1","print":{"width_mm":300,"placement":"front"},"garment":{"color":"#17181a",` +
		`"unit_cost":"3.10"},"quantity":72,"separation":{"method":"auto","underbase":"auto","choke_mm":null,"trap_mm":null},` +
		`"halftone":{"lpi":null,"angle_deg":null,"dot":"round","highlights":"drop"},"mesh":{"threads_per_cm":null},` +
		`"film":{"device":"","formats":["tiff","pdf"],"polarity":"positive","reading":"right_ink_up","margin_mm":20},` +
		`"proof":{"from":"tones","max_px":1600},"order_ref":"","lane":"normal","reuse_screens":false}`
	if got := completed(t, []byte(least)).Canonical(); string(got) != want {
		t.Errorf("\n%s\n%s", got, want)
	}
}

func TestEveryFaultOfAPrintIsNamedWhereItStands(t *testing.T) {
	for name, r := range map[string]struct {
		body []byte
		want []string
	}{
		"both": {[]byte(strings.Replace(string(several(front, "")), "{", `{"artwork_id":"art_1","print":{"width_mm":9},`, 1)),
			[]string{"/artwork_id", "/print", "/prints"}},
		"none": {several("", ""), []string{"/prints"}},
		"nine": {several(strings.Repeat(front+",", 8)+front, ""), []string{"/prints"}},
		"their own": {several(front+`,{"print":{"width_mm":1,"placement":"\u0007"},"quantity":73,"separation":{"method":"magic"},
			"halftone":{"lpi":500},"mesh":{"threads_per_cm":1},"film":{"formats":["gif"]}}`, ""),
			[]string{"/prints/1/artwork_id", "/prints/1/film/formats", "/prints/1/halftone/lpi", "/prints/1/mesh/threads_per_cm",
				"/prints/1/print/placement", "/prints/1/print/width_mm", "/prints/1/quantity", "/prints/1/separation/method"}},
		"the order's": {several(front+","+back, `,"halftone":{"lpi":500},"lane":"fast"`), []string{"/halftone/lpi", "/lane"}},
		"no pieces": {several(`{"artwork_id":"art_1","print":{"height_mm":90},"quantity":0}`, ""),
			[]string{"/prints/0/quantity"}},
		"a total of two": {several(front+`,{"artwork_id":"art_1","print":{"width_mm":90},"separation":{"max_total":"9"}}`,
			`,"separation":{"max_total":"300"}`), []string{"/prints/1/separation/max_total", "/separation/max_total"}},
		"a total of one": {several(front, `,"separation":{"max_total":"300"}`), nil},
	} {
		o, err := order.Parse(r.body)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		_, err = o.Complete()
		got := map[string]bool{}
		if err != nil {
			for _, f := range fault.All(err) {
				got[f.Field] = true
			}
		}
		if fields := slices.Sorted(maps.Keys(got)); !slices.Equal(fields, r.want) {
			t.Errorf("%s: named %v, want %v", name, fields, r.want)
		}
	}
}

func TestPrintsAreReadStrictly(t *testing.T) {
	for body, field := range map[string]string{
		`{"prints":[{},{"print":{"width":3}}]}`: "/prints/1/print/width",
		`{"prints":{}}`:                         "/prints",
		`{"prints":[{"lane":"rush"}]}`:          "/prints/0/lane",
		`{"prints":[{"quantity":"7"}]}`:         "/prints/0/quantity",
	} {
		if _, err := order.Parse([]byte(body)); !fault.Is(err, fault.Malformed) || fault.Of(err).Field != field {
			t.Errorf("%s: %v at %q", body, err, fault.Of(err).Field)
		}
	}
}
