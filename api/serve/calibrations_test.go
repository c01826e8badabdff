package serve_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
)

// readings is a strip of a film whose edges grew, read as densities; each pair is tone, density.
const readings = `{"tone":0,"density":0.05},{"tone":0.05,"density":0.08},{"tone":0.1,"density":0.108},
	{"tone":0.25,"density":0.194},{"tone":0.5,"density":0.371},{"tone":0.75,"density":0.689},
	{"tone":0.9,"density":1.131},{"tone":0.95,"density":1.469},{"tone":1,"density":3.6}`

func calibration(kind, more string) []byte {
	return fmt.Appendf(nil, `{"name":"roll printer","kind":%q,"patches":[%s]%s}`, kind, readings, more)
}

func TestAStripBecomesAStoredCurve(t *testing.T) {
	s := start(t)
	made := s.call("POST", "/v1/calibrations", nil, calibration("film", "")).want(t, 201)
	again := s.call("POST", "/v1/calibrations", nil, calibration("film", "")).want(t, 200)
	id := made["id"].(string)
	if again["id"] != id || !strings.HasPrefix(id, "cal_") {
		t.Errorf("%v then %v", id, again["id"])
	}
	// Worked from Murray-Davies: (1-10^-(0.371-0.05)) / (1-10^-(3.6-0.05)) = 0.5227.
	if tvi := made["tvi_50"].(float64); math.Abs(tvi-0.0227) > 0.0005 || made["monotone"] != true {
		t.Errorf("tvi %g, monotone %v; want 0.0227 (tolerance 0.0005), true", tvi, made["monotone"])
	}
	curve := made["curve"].([]any)
	last := -1.0
	for _, point := range curve {
		out := point.([]any)[1].(float64)
		if out < last {
			t.Fatalf("the curve falls at %v", point)
		}
		last = out
	}
	if len(curve) != 101 || last != 1 {
		t.Errorf("%d points up to %g", len(curve), last)
	}
	got := s.call("GET", "/v1/calibrations/"+id, nil, nil)
	if got.want(t, 200)["tvi_50"] != made["tvi_50"] {
		t.Errorf("read back: %s", got.body)
	}
	s.call("GET", "/v1/calibrations/"+id, map[string]string{"If-None-Match": got.header.Get("ETag")}, nil).want(t, 304)
	s.call("GET", "/v1/calibrations/cal_00000000000000000000000000000000", nil, nil).want(t, 404)
	s.call("GET", "/v1/calibrations/..%2f..%2fshop", nil, nil).want(t, 404)

	through := calibration("press", fmt.Sprintf(`,"film_curve_id":%q,"n":1`, id))
	press := s.call("POST", "/v1/calibrations", nil, through).want(t, 201)
	if tvi := press["tvi_50"].(float64); math.Abs(tvi) > 0.001 {
		t.Errorf("a press that prints the film as it is gains %g, want 0 (tolerance 0.001)", tvi)
	}
	wrong := calibration("press", fmt.Sprintf(`,"film_curve_id":%q`, press["id"]))
	s.call("POST", "/v1/calibrations", nil, wrong).want(t, 422)
}

func TestTonesOutsideTheRangeAreRefusedThroughAFilmCurveToo(t *testing.T) {
	s := start(t)
	film := s.call("POST", "/v1/calibrations", nil, calibration("film", "")).want(t, 201)["id"].(string)
	for _, tone := range []string{"75", "-3"} {
		body := strings.Replace(string(calibration("press", fmt.Sprintf(`,"film_curve_id":%q`, film))), `"tone":0.75`, `"tone":`+tone, 1)
		if got := pointers(t, s.call("POST", "/v1/calibrations", nil, []byte(body))); len(got) != 1 || got[0] != "#/patches/5/tone" {
			t.Errorf("tone %s: faults at %v, want #/patches/5/tone", tone, got)
		}
	}
}

func TestANoisyStripSaysSoWithItsCurveAndInEveryPlan(t *testing.T) {
	s := start(t)
	strip := `{"name":"press 2","kind":"press","read_at":{"lpi":30,"kind":"am"},"patches":[{"tone":0.05,"area":0.02},
		{"tone":0.1,"area":0.2},{"tone":0.2,"area":0.19},{"tone":0.3,"area":0.48},{"tone":0.4,"area":0.47},
		{"tone":0.5,"area":0.7},{"tone":0.6,"area":0.69},{"tone":0.75,"area":0.85},{"tone":0.9,"area":0.9}]}`
	made := s.call("POST", "/v1/calibrations", nil, []byte(strip))
	id := made.want(t, 201)["id"].(string)
	if text := string(made.body); !strings.Contains(text, `"noisy_curve"`) || !strings.Contains(text, `"read_at":{"lpi":30,"kind":"am"}`) {
		t.Errorf("the calibration says %s", text)
	}
	doc, etag := s.read(t, "/v1/shop/presses")
	s.put("/v1/shop/presses", etag, edit(t, doc, id, "presses", 1, "curve_id")).want(t, 200)
	art := s.upload(flatPNG(t, 50))
	quote := s.call("POST", "/v1/quotes", nil, fmt.Appendf(nil, `{"artwork_id":%q,"print":{"width_mm":100},"quantity":10,
		"garment":{"color":"#17181a","unit_cost":"2"},"separation":{"method":"simulated_process"},"halftone":{"lpi":45,"kind":"hybrid"}}`, art))
	quote.want(t, 200)
	for _, want := range []string{`"code":"noisy_curve","severity":"warning"`, `"code":"curve_read_elsewhere","severity":"warning"`,
		"read at am, 30 lpi; this plate is screened at hybrid, 45 lpi"} {
		if !strings.Contains(string(quote.body), want) {
			t.Errorf("%s is not in the quote", want)
		}
	}
}

func TestCalibrationsAreListedPageByPage(t *testing.T) {
	s := start(t)
	want := map[string]bool{}
	for n := range 5 {
		body := calibration("film", fmt.Sprintf(`,"n":%g`, 1+float64(n)/10))
		want[s.call("POST", "/v1/calibrations", nil, body).want(t, 201)["id"].(string)] = true
	}
	path, pages := "/v1/calibrations?limit=2", 0
	for ; path != ""; pages++ {
		page := s.call("GET", path, nil, nil).want(t, 200)
		for _, c := range page["calibrations"].([]any) {
			id := c.(map[string]any)["id"].(string)
			if !want[id] {
				t.Errorf("%s is listed twice, or is none of ours", id)
			}
			delete(want, id)
		}
		path = ""
		if next, more := page["next_cursor"].(string); more {
			path = "/v1/calibrations?limit=2&cursor=" + next
		}
	}
	if pages != 3 || len(want) != 0 {
		t.Errorf("%d pages, %d not listed", pages, len(want))
	}
	for _, query := range []string{"limit=0", "limit=x", "cursor=x", "kind=film"} {
		s.call("GET", "/v1/calibrations?"+query, nil, nil).want(t, 400)
	}
	empty := start(t)
	if r := empty.call("GET", "/v1/calibrations", nil, nil); !strings.Contains(string(r.body), `"calibrations":[]`) {
		t.Errorf("nothing is listed as %s", r.body)
	}
}

func TestReadingsThatCannotBeAreNamed(t *testing.T) {
	s := start(t)
	falling := strings.Replace(string(calibration("film", "")), `0.194`, `0.04`, 1)
	for name, c := range map[string]struct {
		body     string
		status   int
		pointers string
	}{
		"falling":        {falling, 422, "#/patches/3/density"},
		"Dmax under":     {strings.Replace(string(calibration("film", "")), `3.6`, `0.01`, 1), 422, "#/patches/8/density"},
		"no name":        {strings.Replace(string(calibration("film", "")), `roll printer`, ``, 1), 422, "#/name"},
		"another kind":   {string(calibration("paper", "")), 422, "#/kind"},
		"a wild factor":  {string(calibration("film", `,"n":9`)), 422, "#/n"},
		"mixed readings": {strings.Replace(falling, `"density":0.04`, `"area":0.3`, 1), 422, "#/patches/3"},
		"no tone":        {strings.Replace(falling, `"tone":0.25,`, ``, 1), 422, "#/patches/3/tone"},
		"no patches":     {`{"name":"x","kind":"film","patches":[]}`, 422, "#/patches"},
		"unknown film":   {string(calibration("press", `,"film_curve_id":"cal_1"`)), 422, "#/film_curve_id"},
		"solid at once": {`{"name":"x","kind":"press","patches":[{"tone":0,"area":0},{"tone":0.25,"area":1},{"tone":0.5,"area":1},
			{"tone":0.75,"area":1},{"tone":0.9,"area":1},{"tone":1,"area":1}]}`, 422,
			"#/patches/3/area #/patches/4/area #/patches/5/area"},
		"tone 1e999":    {strings.Replace(falling, `"tone":0.25`, `"tone":1e999`, 1), 400, "#/patches/3/tone"},
		"read at what":  {string(calibration("film", `,"read_at":{"lpi":1,"kind":"round"}`)), 422, "#/read_at/kind #/read_at/lpi"},
		"fm has none":   {string(calibration("film", `,"read_at":{"lpi":55,"kind":"fm"}`)), 422, "#/read_at/lpi"},
		"unknown field": {string(calibration("film", `,"tvi":3`)), 400, "#/tvi"},
	} {
		r := s.call("POST", "/v1/calibrations", nil, []byte(c.body))
		r.want(t, c.status)
		var problem struct{ Errors []struct{ Pointer string } }
		if err := json.Unmarshal(r.body, &problem); err != nil {
			t.Fatal(err)
		}
		var pointers []string
		for _, e := range problem.Errors {
			pointers = append(pointers, e.Pointer)
		}
		if got := strings.Join(pointers, " "); got != c.pointers {
			t.Errorf("%s: %s, want %s: %s", name, got, c.pointers, r.body)
		}
	}
}
