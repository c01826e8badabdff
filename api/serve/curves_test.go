package serve_test

import (
	"fmt"
	"strings"
	"testing"
)

func TestAMeasuredFilmCurveCorrectsTheFilmsOfItsDevice(t *testing.T) {
	s := start(t)
	strip := `{"name":"roll printer","kind":"film","patches":[{"tone":0,"area":0},{"tone":0.1,"area":0.16},
		{"tone":0.25,"area":0.36},{"tone":0.5,"area":0.63},{"tone":0.75,"area":0.84},{"tone":0.9,"area":0.95},{"tone":1,"area":1}]}`
	curve := s.call("POST", "/v1/calibrations", nil, []byte(strip)).want(t, 201)["id"].(string)
	art := s.upload(flatPNG(t, 50))
	ask := func(curveID string) reply {
		return s.call("POST", "/v1/quotes", nil, fmt.Appendf(nil, `{"artwork_id":%q,"print":{"width_mm":100},"quantity":10,
			"garment":{"color":"#17181a","unit_cost":"2"},"separation":{"method":"simulated_process"},
			"film":{"device":{"x_dpi":720,"y_dpi":720,"width_mm":330,"curve_id":%q}}}`, art, curveID))
	}
	measured, assumed := ask(curve), ask("")
	measured.want(t, 200)
	if !strings.Contains(string(measured.body), "the press's tone curve is assumed") ||
		!strings.Contains(string(assumed.body), "tone curves of film and press are assumed") {
		t.Errorf("measured: %.300s\nassumed: %.300s", measured.body, assumed.body)
	}
	if r := ask("cal_00000000000000000000000000000000"); r.status != 422 || !strings.Contains(string(r.body), `"#/film/device/curve_id"`) {
		t.Errorf("an unknown curve: %d %s", r.status, r.body)
	}
}
