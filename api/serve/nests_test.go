package serve_test

import (
	"fmt"
	"net/http"
	"testing"
)

// TestANestIsAJobLikeAnyOther makes two jobs, nests their films, and downloads what was made.
func TestANestIsAJobLikeAnyOther(t *testing.T) {
	s := start(t)
	first := s.call("POST", "/v1/jobs", waiting, orderOf(s.upload(flatPNG(t, 200)), "")).want(t, 202)
	second := s.call("POST", "/v1/jobs", waiting, orderOf(s.upload(gradientJPEG(t, 200)), "")).want(t, 202)
	body := fmt.Appendf(nil, `{"jobs":[%q,%q],"device":{"x_dpi":600,"y_dpi":600,"width_mm":330},"formats":["tiff","pdf"],
		"gap_mm":4,"order_ref":"roll 1"}`, first["id"], second["id"])
	made := s.call("POST", "/v1/nests", waiting, body)
	job := made.want(t, 202)
	if job["state"] != "done" || made.header.Get("Location") != "/v1/jobs/"+job["id"].(string) || job["order"] != nil {
		t.Fatalf("%v %v %v", job["state"], made.header, job["problem"])
	}
	result := job["result"].(map[string]any)
	nest := result["nest"].(map[string]any)
	films := 0
	for _, one := range []map[string]any{first, second} {
		films += len(one["result"].(map[string]any)["films"].([]any)) / 2 // of two formats
	}
	if got := nest["placements"].([]any); len(got) != films {
		t.Errorf("%d placements for %d films", len(got), films)
	}
	if f := nest["filled"].(float64); f < 0.4 || f > 1 {
		t.Errorf("%g is filled", f)
	}
	s.checkFiles(job["id"].(string), 3) // sheet, PDF, manifest
	if job["nest"].(map[string]any)["gap_mm"] != 4.0 || result["plan"] != nil || result["quote"] != nil {
		t.Errorf("%v", job)
	}
	again := s.call("POST", "/v1/nests", nil, body).want(t, 202)
	if again["state"] != "done" || again["id"] == job["id"] {
		t.Errorf("the same nest again: %v", again["state"])
	}
	page := s.call("GET", "/v1/jobs?order_ref=roll+1", nil, nil).want(t, 200)["jobs"].([]any)
	if len(page) != 2 || page[0].(map[string]any)["nest"] == nil {
		t.Errorf("listed: %v", page)
	}
	nested := fmt.Appendf(nil, `{"jobs":[%q]}`, job["id"])
	checkFault(t, s.call("POST", "/v1/nests", nil, nested), "#/jobs/0")
}

func TestANestThatCannotBeSaysWhichJobIsAtFault(t *testing.T) {
	s := start(t)
	job := s.call("POST", "/v1/jobs", waiting, orderOf(s.upload(flatPNG(t, 100)), "")).want(t, 202)["id"]
	for body, pointer := range map[string]string{
		fmt.Sprintf(`{"jobs":[%q,"job_0"]}`, job):                                                      "#/jobs/1",
		fmt.Sprintf(`{"jobs":[%q],"device":"none"}`, job):                                              "#/device",
		fmt.Sprintf(`{"jobs":[%q],"device":{"x_dpi":300,"y_dpi":600,"width_mm":330}}`, job):            "#/jobs",
		fmt.Sprintf(`{"jobs":[%q],"device":{"x_dpi":600,"y_dpi":600,"width_mm":60}}`, job):             "#/jobs",
		fmt.Sprintf(`{"jobs":[%q],"gap_mm":900,"device":{"x_dpi":600,"y_dpi":600,"width_mm":1}}`, job): "#/gap_mm",
		`{"jobs":[]}`: "#/jobs",
	} {
		checkFault(t, s.call("POST", "/v1/nests", nil, []byte(body)), pointer)
	}
	s.call("POST", "/v1/nests", nil, []byte(`{"job":[]}`)).want(t, http.StatusBadRequest)
}

// checkFault wants a 422 that points at a field.
func checkFault(t *testing.T, r reply, pointer string) {
	t.Helper()
	for _, e := range r.want(t, 422)["errors"].([]any) {
		if e.(map[string]any)["pointer"] == pointer {
			return
		}
	}
	t.Errorf("%s: no fault at %s", r.body, pointer)
}
