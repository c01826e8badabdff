package serve_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
)

// printsOf is a small order of a front, a back on 20 of 72 garments, and two sleeves from the same screens.
func printsOf(first, second, extra string) []byte {
	return fmt.Appendf(nil, `{"prints":[{"artwork_id":%q,"print":{"width_mm":40}},
		{"artwork_id":%q,"print":{"width_mm":30,"placement":"back"},"quantity":20,"separation":{"max_screens":2}},
		{"artwork_id":%q,"print":{"width_mm":20,"placement":"left sleeve"}},
		{"artwork_id":%q,"print":{"width_mm":20,"placement":"right sleeve"}}],
		"garment":{"color":"#17181a","unit_cost":"3.10"},"quantity":72,
		"film":{"device":{"x_dpi":600,"y_dpi":600,"width_mm":330},"formats":["tiff"]}%s}`, first, second, first, first, extra)
}

func TestAnOrderOfSeveralPrintsIsOneQuote(t *testing.T) {
	s := start(t)
	order := printsOf(s.upload(flatPNG(t, 200)), s.upload(gradientJPEG(t, 200)), "")
	first := s.call("POST", "/v1/quotes", nil, order)
	quote := first.want(t, 200)
	sum, of := decimal.Zero, map[string]int{}
	for _, l := range quote["lines"].([]any) {
		line := l.(map[string]any)
		sum = sum.Add(decimal.RequireFromString(line["amount"].(string)))
		of[line["code"].(string)]++
	}
	if !sum.Equal(decimal.RequireFromString(quote["total"].(string))) || of["garments"] != 1 || of["margin"] != 1 ||
		of["film"] != 3 || of["press_run"] != 4 {
		t.Errorf("lines give %s, total %v, %v", sum, quote["total"], of)
	}
	prints := quote["prints"].([]any)
	for i, want := range []string{"front 72", "back 20", "left sleeve 72", "right sleeve 72"} {
		p := prints[i].(map[string]any)
		if got := fmt.Sprintf("%v %v", p["placement"], p["quantity"]); got != want || p["n"] != float64(i+1) ||
			p["plan"].(map[string]any)["screens"].(float64) < 1 {
			t.Errorf("print %d is %v, want %s", i+1, got, want)
		}
	}
	if prints[3].(map[string]any)["same_as"] != 3.0 || prints[2].(map[string]any)["same_as"] != nil {
		t.Errorf("the sleeves are %v and %v", prints[2], prints[3])
	}
	one, _ := json.Marshal(quote["plan"])
	if other, _ := json.Marshal(prints[0].(map[string]any)["plan"]); string(one) != string(other) {
		t.Error("the quote's plan is not its first print's")
	}
	if again := s.call("POST", "/v1/quotes", nil, order); string(again.body) != string(first.body) {
		t.Error("asked again it is another quote")
	}
	s.editShop(t)
	if kept := s.call("GET", "/v1/quotes/"+quote["id"].(string), nil, nil); string(kept.body) != string(first.body) {
		t.Errorf("given again: %d %.300s", kept.status, kept.body)
	}
}

// TestFilmsOfSeveralPrintsAreMadePrintByPrint orders two prints under a quote, after the shop's prices have changed, and
// one with the order in full.
func TestFilmsOfSeveralPrintsAreMadePrintByPrint(t *testing.T) {
	if testing.Short() {
		t.Skip("pixels by the million: the race detector's pass has shorter jobs with the same goroutines")
	}
	s := start(t)
	order := printsOf(s.upload(flatPNG(t, 200)), s.upload(gradientJPEG(t, 200)), `,"order_ref":"P-1"`)
	quote := s.call("POST", "/v1/quotes", nil, order).want(t, 200)
	s.editShop(t)
	for n, want := range map[int]string{2: "print 2 of 4, back", 3: "print 3 of 4, left sleeve"} {
		job := s.call("POST", "/v1/jobs", waiting, fmt.Appendf(nil, `{"quote_id":%q,"print_n":%d}`, quote["id"], n)).want(t, 202)
		if job["state"] != "done" {
			t.Fatalf("print %d: %v %v", n, job["state"], job["problem"])
		}
		result := job["result"].(map[string]any)
		made := result["quote"].(map[string]any)
		if made["id"] != quote["id"] || made["total"] != quote["total"] || job["print_n"] != float64(n) {
			t.Errorf("print %d: quote %v of %v, asked %v of %v", n, made["id"], made["total"], quote["id"], quote["total"])
		}
		screens := quote["prints"].([]any)[n-1].(map[string]any)["plan"].(map[string]any)["screens"].(float64)
		if films := result["films"].([]any); float64(len(films)) != screens {
			t.Errorf("print %d: %d films for %g screens", n, len(films), screens)
		}
		s.checkSetup(job["id"].(string), n, want)
	}
	if job := s.call("POST", "/v1/jobs", waiting, withPrintN(order, 1)).want(t, 202); job["state"] != "done" ||
		job["result"].(map[string]any)["quote"].(map[string]any)["total"] == quote["total"] {
		t.Errorf("in full, after the edit: %v %v", job["state"], job["problem"])
	}
}

// withPrintN adds print_n to an order.
func withPrintN(order []byte, n int) []byte {
	return fmt.Appendf(nil, `{"print_n":%d,%s`, n, strings.TrimPrefix(string(order), "{"))
}

// checkSetup reads a job's setup.json and the title its films carry.
func (s *service) checkSetup(job string, n int, name string) {
	s.t.Helper()
	facts := s.call("GET", "/v1/jobs/"+job+"/files/setup.json", nil, nil).want(s.t, 200)
	if facts["print_n"] != float64(n) || facts["prints"] != 4.0 || facts["order_ref"] != "P-1" ||
		!strings.HasSuffix(name, facts["placement"].(string)) {
		s.t.Errorf("setup.json of %s: %v %v %v %v", name, facts["print_n"], facts["prints"], facts["order_ref"], facts["placement"])
	}
	if n == 3 && (facts["quantity"] != 144.0 || len(facts["same_screens"].([]any)) != 2) {
		s.t.Errorf("both sleeves: %v, %v", facts["quantity"], facts["same_screens"])
	}
	manifest := s.call("GET", "/v1/jobs/"+job+"/files/manifest.json", nil, nil).want(s.t, 200)
	if manifest["print_n"] != float64(n) || len(manifest["order"].(map[string]any)["prints"].([]any)) != 4 {
		s.t.Errorf("manifest of %s: print %v of %v", name, manifest["print_n"], manifest["order"])
	}
	film := manifest["films"].([]any)[0].(map[string]any)["file"].(string)
	if tiff := s.call("GET", "/v1/jobs/"+job+"/files/"+film, nil, nil); !strings.Contains(string(tiff.body), name) {
		s.t.Errorf("film %s does not say %q", film, name)
	}
}

func TestAnOrderOfSeveralPrintsNamesItsFaultsByPrint(t *testing.T) {
	s := start(t)
	art := s.upload(flatPNG(t, 60))
	good := string(printsOf(art, art, ""))
	quote := s.call("POST", "/v1/quotes", nil, []byte(good)).want(t, 200)["id"]
	plain := s.call("POST", "/v1/quotes", nil, orderOf(art, "")).want(t, 200)["id"]
	for name, r := range map[string]struct {
		path, body string
		status     int
		want       []string
	}{
		"both": {"quotes", strings.Replace(good, "{", `{"artwork_id":"x","print":{"width_mm":9},`, 1), 422,
			[]string{"#/artwork_id", "#/print", "#/prints"}},
		"two fields": {"quotes", strings.NewReplacer(`"width_mm":30`, `"width_mm":1`, `"max_screens":2`, `"max_screens":99`).Replace(good),
			422, []string{"#/prints/1/print/width_mm", "#/prints/1/separation/max_screens"}},
		"no such artworks": {"quotes", string(printsOf("art_x", "art_y", "")), 422, []string{"#/prints/0/artwork_id",
			"#/prints/1/artwork_id", "#/prints/2/artwork_id", "#/prints/3/artwork_id"}},
		"too many pieces": {"quotes", strings.Replace(good, `"quantity":20`, `"quantity":73`, 1), 422, []string{"#/prints/1/quantity"}},
		"unknown field":   {"quotes", strings.Replace(good, `"quantity":20`, `"pieces":20`, 1), 400, []string{"#/prints/1/pieces"}},
		"which print":     {"jobs", good, 422, []string{"#/print_n"}},
		"which, quoted":   {"jobs", fmt.Sprintf(`{"quote_id":%q}`, quote), 422, []string{"#/print_n"}},
		"no such print":   {"jobs", fmt.Sprintf(`{"quote_id":%q,"print_n":5}`, quote), 422, []string{"#/print_n"}},
		"print nought":    {"jobs", string(withPrintN([]byte(good), 0)), 422, []string{"#/print_n"}},
		"same films":      {"jobs", fmt.Sprintf(`{"quote_id":%q,"print_n":4}`, quote), 422, []string{"#/print_n"}},
		"second of one":   {"jobs", fmt.Sprintf(`{"quote_id":%q,"print_n":2}`, plain), 422, []string{"#/print_n"}},
		"print, a word":   {"jobs", fmt.Sprintf(`{"quote_id":%q,"print_n":"2"}`, quote), 400, []string{"#/print_n"}},
		"print in quotes": {"quotes", string(withPrintN([]byte(good), 1)), 400, []string{"#/print_n"}},
	} {
		problem := s.call("POST", "/v1/"+r.path, nil, []byte(r.body)).want(t, r.status)
		got := map[string]bool{}
		for _, e := range problem["errors"].([]any) {
			got[e.(map[string]any)["pointer"].(string)] = true
		}
		if pointers := slices.Sorted(maps.Keys(got)); !slices.Equal(pointers, r.want) {
			t.Errorf("%s: %v, want %v (%v)", name, pointers, r.want, problem["detail"])
		}
	}
	s.call("POST", "/v1/jobs", nil, fmt.Appendf(nil, `{"quote_id":%q,"print_n":1}`, plain)).want(t, 202)
}
