package serve_test

import (
	"fmt"
	"testing"
)

// TestAPrintTooLargeForTheDeviceIsSplitWhereTheOrderAllowsIt orders 70 mm of print from sheets of 60 x 60.
func TestAPrintTooLargeForTheDeviceIsSplitWhereTheOrderAllowsIt(t *testing.T) {
	s := start(t)
	order := func(film string) []byte {
		return fmt.Appendf(nil, `{"artwork_id":%q,"print":{"width_mm":70},"garment":{"color":"#17181a","unit_cost":"3.10"},
			"quantity":72,"film":{"device":{"x_dpi":300,"y_dpi":300,"width_mm":60,"max_length_mm":60},"margin_mm":6%s}}`,
			s.upload(flatPNG(t, 200)), film)
	}
	checkFault(t, s.call("POST", "/v1/quotes", nil, order("")), "#/print/width_mm")
	checkFault(t, s.call("POST", "/v1/quotes", nil, order(`,"overlap_mm":5`)), "#/film/overlap_mm")
	split := order(`,"split":true,"overlap_mm":5,"formats":["tiff","overlay"]`)
	job := s.call("POST", "/v1/jobs", waiting, split).want(t, 202)
	if job["state"] != "done" {
		t.Fatalf("%v %v", job["state"], job["problem"])
	}
	result := job["result"].(map[string]any)
	plan := result["plan"].(map[string]any)
	parts := plan["film"].(map[string]any)["parts"].([]any)
	films := result["films"].([]any)
	if len(parts) < 2 || len(films) != len(parts)*int(plan["screens"].(float64)) {
		t.Fatalf("%d films of %d parts", len(films), len(parts))
	}
	for _, f := range films {
		film := f.(map[string]any)
		box, shows := film["print_box_px"].([]any), film["shows_px"].([]any)
		if box[2].(float64)-box[0].(float64) != shows[2].(float64)-shows[0].(float64) || film["parts"] != float64(len(parts)) {
			t.Errorf("%v", film)
		}
	}
	overlay := s.call("GET", "/v1/jobs/"+job["id"].(string)+"/files/overlay.pdf", nil, nil)
	if overlay.status != 200 || overlay.header.Get("Content-Type") != "application/pdf" {
		t.Errorf("overlay: %d %v", overlay.status, overlay.header)
	}
}
