package serve_test

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image/png"
	"math"
	"slices"
	"strings"
	"testing"
)

func (s *service) pick(body string) reply {
	return s.call("POST", "/v1/mesh-picks", nil, []byte(body))
}

func TestMeshesAreRankedWithEveryConstraintAndItsBeats(t *testing.T) {
	s := start(t)
	got := s.pick(`{"halftone":{"lpi":55,"dot":"round","kind":"am"},"role":"color","min_line_mm":0.3,"ink":"white"}`).want(t, 200)
	picks := got["picks"].([]any)
	if got["fits"] != true || len(picks) != 11 || len(got["advice"].([]any)) != 0 {
		t.Fatalf("fits %v, %d picks, advice %v", got["fits"], len(picks), got["advice"])
	}
	last := 2.0
	for _, p := range picks {
		pick := p.(map[string]any)
		if score := pick["score"].(float64); score > last {
			t.Errorf("a worse mesh stands before a better one: %v", pick["mesh"])
		} else {
			last = score
		}
		var codes []string
		for _, k := range pick["constraints"].([]any) {
			one := k.(map[string]any)
			codes = append(codes, one["code"].(string))
			if _, change := one["change"]; change == one["ok"].(bool) || one["why"] == "" {
				t.Errorf("%v", one)
			}
		}
		if got := strings.Join(codes, " "); got != "mesh_to_ruling smallest_dot smallest_line particle ink_deposit moire" {
			t.Errorf("weighed: %s", got)
		}
		if n := len(pick["moire"].([]any)); n != 5 {
			t.Errorf("%d beats", n)
		}
	}
	mesh := picks[0].(map[string]any)["mesh"].(map[string]any)
	if n := mesh["threads_per_cm"].(float64); n < 77 || n > 120 {
		t.Errorf("55 lpi is put on %g threads/cm", n)
	}
}

// TestABeatsFiguresAreTheWorkedOnes: 55 lpi at 22.5 on 77/cm, k (3, -1) m (1, 0), is 1.004 mm (worked, 0.1 %).
func TestABeatsFiguresAreTheWorkedOnes(t *testing.T) {
	s := start(t)
	got := s.pick(`{"halftone":{"lpi":55,"tone":0.3,"angle_range":[22.5,22.5]},"threads_per_cm":[77]}`).want(t, 200)
	pick := got["picks"].([]any)[0].(map[string]any)
	found := false
	for _, b := range pick["moire"].([]any) {
		beat := b.(map[string]any)
		if k := beat["k"].([]any); k[0] == 3.0 && k[1] == -1.0 {
			found = true
			if math.Abs(beat["period_mm"].(float64)/1.004-1) > 0.001 {
				t.Errorf("%v, want 1.004 mm within 0.1 %%", beat)
			}
		}
	}
	if !found || pick["angle_deg"] != 22.5 {
		t.Errorf("%v", pick)
	}
}

func TestWhereNothingFitsItIsSaidWhatToChange(t *testing.T) {
	s := start(t)
	got := s.pick(`{"halftone":{"lpi":85},"min_line_mm":0.05,"threads_per_cm":[43,61]}`).want(t, 200)
	advice := fmt.Sprint(got["advice"])
	if got["fits"] != false || !strings.Contains(advice, "lpi or coarser") ||
		!strings.Contains(advice, "thicken the lines") {
		t.Errorf("%s", advice)
	}
}

func TestAPictureOfTheBeatComesOnDemand(t *testing.T) {
	s := start(t)
	got := s.pick(`{"halftone":{"lpi":65,"dot":"ellipse"},"threads_per_cm":[77],"picture":true,"against":{"lpi":65,"angle_deg":75}}`).want(t, 200)
	data, err := base64.StdEncoding.DecodeString(got["picture_png"].(string))
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil || img.Bounds().Dx() != 1000 {
		t.Fatalf("%v %v", img.Bounds(), err)
	}
	if between := got["picks"].([]any)[0].(map[string]any)["between"].([]any); len(between) != 5 {
		t.Errorf("%v", between)
	}
}

func TestLineWorkAndClustersHaveNoBeats(t *testing.T) {
	s := start(t)
	for _, body := range []string{`{"halftone":null,"role":"underbase"}`, `{"halftone":{"kind":"fm","dot_um":150}}`} {
		pick := s.pick(body).want(t, 200)["picks"].([]any)[0].(map[string]any)
		if _, has := pick["angle_deg"]; has || len(pick["moire"].([]any)) != 0 {
			t.Errorf("%s: %v", body, pick)
		}
	}
}

func TestAMeshPickThatCannotBeIsNamedFieldByField(t *testing.T) {
	s := start(t)
	for body, want := range map[string]string{
		`{"halftone":{"lpi":200,"dot":"heart","min_tone":0.9},"role":"glue"}`: "#/halftone/dot #/halftone/lpi #/halftone/min_tone #/role",
		`{"halftone":{}}`: "#/halftone/lpi", `{"halftone":{"kind":"fm","dot_um":90,"lpi":55}}`: "#/halftone/lpi", `{"halftone":{"kind":"fm"}}`: "#/halftone/dot_um",
		`{"halftone":{"kind":"xm","lpi":55}}`:                                  "#/halftone/kind",
		`{"halftone":{"lpi_range":[30,90]}}`:                                   "#/halftone/lpi_range/1",
		`{"halftone":{"lpi":55,"angle_range":[30,10]}}`:                        "#/halftone/angle_range/1",
		`{"halftone":{"lpi":55},"threads_per_cm":[77,55]}`:                     "#/threads_per_cm/1",
		`{"halftone":{"lpi":55},"ink":"octarine","view_mm":1,"min_line_mm":0}`: "#/ink #/min_line_mm #/view_mm",
		`{"halftone":null,"picture":true}`:                                     "#/halftone",
		`{"halftone":{"lpi":55},"against":{"lpi":1,"angle_deg":0}}`:            "#/against/lpi",
	} {
		r := s.pick(body)
		got := pointers(t, r)
		slices.Sort(got)
		if r.status != 422 || strings.Join(got, " ") != want {
			t.Errorf("%s: %d %v, want %s", body, r.status, got, want)
		}
	}
	s.pick(`{"halftone":{"lip":55}}`).want(t, 400)
}
