package serve_test

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func TestAStepWedgeReadingGivesANewExposure(t *testing.T) {
	s := start(t)
	got := s.call("POST", "/v1/exposures", nil, []byte(`{"exposure_s":60,"step_read":6,"step_target":7,"distance_mm":600,
		"new_distance_mm":900,"film_dmin":0.05,"film_dmax":2.0,"lamp_mm":60,"gap_um":100}`)).want(t, 200)
	for name, want := range map[string]float64{"exposure_s": 190.69, "factor": 3.1782, "leak_fraction": 0.01122,
		"leak_steps":   13,
		"steps_wanted": 13, "undercut_um": 2.5853, "smallest_dot_um": 10.341} {
		if x, _ := got[name].(float64); math.Abs(x/want-1) > 0.001 {
			t.Errorf("%s %v, want %g within 0.1 %% (worked)", name, got[name], want)
		}
	}
	if w := got["warnings"].([]any); len(w) != 1 || w[0].(map[string]any)["code"] != "weak_black" || got["caution"] == "" {
		t.Errorf("%v", got)
	}
	bare := s.call("POST", "/v1/exposures", nil, []byte(`{"exposure_s":41,"step_read":7,"step_target":7}`)).want(t, 200)
	if _, leaks := bare["leak_fraction"]; leaks || bare["exposure_s"] != 41.0 || len(bare["warnings"].([]any)) != 0 {
		t.Errorf("without a film: %v", bare)
	}
}

func TestAnExposureThatCannotBeIsNamedFieldByField(t *testing.T) {
	s := start(t)
	r := s.call("POST", "/v1/exposures", nil, []byte(`{"exposure_s":-1,"step_read":60,"step_density":0,"film_dmax":2}`))
	got := pointers(t, r)
	slices.Sort(got)
	if want := []string{"#/exposure_s", "#/film_dmin", "#/step_density", "#/step_read",
		"#/step_target"}; r.status != 422 ||
		!slices.Equal(got, want) {
		t.Errorf("%d %v, want %v", r.status, got, want)
	}
	s.call("POST", "/v1/exposures", nil, []byte(`{"exposure_s":60,"steps":6}`)).want(t, 400)
	s.call("POST", "/v1/exposures", nil, []byte(`{"exposure_s":"60"}`)).want(t, 400)
}

// TestAPlanExposesByTheShopsEmulsionAndLamp puts another emulsion and a nearer lamp into /v1/shop, reads them back, and
// asks for a quote: a lamp at 500 mm in place of 1000 mm takes a quarter of the time. The order's film names no
// density: it is taken as clear as the test's, so 45 s and 20/4 s.
func TestAPlanExposesByTheShopsEmulsionAndLamp(t *testing.T) {
	s := start(t)
	order := orderOf(s.upload(flatPNG(t, 100)), `,"mesh":{"threads_per_cm":54}`)
	exposures := func() (plan map[string]any, white float64) {
		plan = s.call("POST", "/v1/quotes", nil, order).want(t, 200)["plan"].(map[string]any)
		return plan["exposure"].(map[string]any), plan["plates"].([]any)[0].(map[string]any)["exposure_s"].(float64)
	}
	if first, s := exposures(); s != 45 || first["emulsion"] != "Dual-cure" || first["lamp"] != "Point lamp" {
		t.Errorf("%g s, %v", s, first)
	}
	doc, etag := s.read(t, "/v1/shop")
	own := map[string]any{"id": "fast", "name": "Fast one", "solids_pct": 40, "coats": 3,
		"exposure_s": map[string]any{"white": 20, "yellow": 34}, "assumes": "three coats by the wedge of May"}
	doc = edit(t, edit(t, doc, own, "emulsions", 1), "fast", "default_emulsion")
	doc = edit(t, edit(t, doc, 500, "lamps", 0, "distance_mm"), 20, "exposure", "exposure_s")
	put := s.put("/v1/shop", etag, doc)
	put.want(t, 200)
	if again, tag := s.read(t, "/v1/shop"); again != string(put.body) || tag != put.header.Get("ETag") {
		t.Errorf("put %s\nread %s", put.body, again)
	}
	then, white := exposures()
	if white != 5 || then["emulsion"] != "Fast one" || then["coats"] != 3.0 || then["distance_mm"] != 500.0 {
		t.Errorf("%g s, %v", white, then)
	}
	for _, want := range []string{"three coats by the wedge of May", "Point lamp at 500 mm, tested at 1000 mm", "5 s on white mesh"} {
		if says := then["assumes"].(string); !strings.Contains(says, want) {
			t.Errorf("%q is not said: %s", want, says)
		}
	}
	s.put("/v1/shop", put.header.Get("ETag"), edit(t, doc, 30, "exposure", "exposure_s")).want(t, 422)
}
