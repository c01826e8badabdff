package serve_test

import (
	"math"
	"slices"
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
