package plan_test

import (
	"math"
	"strings"
	"testing"

	"tamis/pkg/halftone"
	"tamis/pkg/plan"
	"tamis/pkg/tone"
)

func TestAssumedCurvesAreOfEachPlatesOwnScreen(t *testing.T) {
	soft := inspected(t, false)
	for _, c := range []struct {
		halftone string
		want     tone.Curve
		source   string
	}{
		{`{"lpi":30,"kind":"am"}`, tone.EdgeGrowth(30, 8), "8 um at 30 lpi"},
		{`{"lpi":55}`, tone.EdgeGrowth(55, 8), "8 um at 55 lpi"},
		{`{"lpi":90,"kind":"hybrid"}`, tone.EdgeGrowth(90, 8), "8 um at 90 lpi"},
		{`{"kind":"fm","cluster_um":300}`, tone.ScatterGrowth(300, 8), "8 um about clusters of 300 um"},
		{`{"kind":"fm","dot_um":120}`, tone.ScatterGrowth(141.1, 8), "8 um about dots of 120 um in whole pixels of 35.3 um"},
	} {
		p := made(t, input(t, soft, "#17181a", `,"separation":{"method":"simulated_process"},"film":{"device":{"x_dpi":720,"y_dpi":720,"width_mm":330}},"halftone":`+c.halftone))
		for i, spec := range p.Specs {
			if spec == nil {
				continue
			}
			got := p.Gains[i]
			for _, x := range []float64{0.05, 0.25, 0.5, 0.75, 0.95} {
				if off := math.Abs(got.At(x) - c.want.At(x)); off > 0.004 {
					t.Errorf("%s, plate %d: %g grows to %.4f, want %.4f (%s; tolerance 0.004: film and press grow in turn)",
						c.halftone, i+1, x, got.At(x), c.want.At(x), c.source)
				}
			}
			area := fineArea(p, i)
			if math.Abs(area-p.Doc.Plates[i].FilmCoverage) > 1e-4 {
				t.Errorf("%s, plate %d: film coverage %.5f, with its own curve %.5f (tolerance 1e-4)", c.halftone, i+1,
					p.Doc.Plates[i].FilmCoverage, area)
			}
		}
	}
}

// fineArea is what a plate's film inks, with the compensation of the plate's own gain.
func fineArea(p *plan.Plan, i int) float64 {
	undo := p.Gains[i].Inverse()
	return p.Recipe.Plates[i].Tones.Through(func(tone float64) float64 { return p.Specs[i].Area(undo, tone) })
}

func TestAPlanSaysWhereACurveWasReadOtherwise(t *testing.T) {
	soft := inspected(t, false)
	num := func(v float64) *float64 { return &v }
	for name, c := range map[string]struct {
		read     plan.ReadAt
		halftone string
		want     string // "" for no warning
	}{
		"nothing said":         {plan.ReadAt{}, `{"lpi":30}`, ""},
		"its own ruling":       {plan.ReadAt{LPI: num(45), Kind: "am"}, `{"lpi":45,"kind":"am"}`, ""},
		"13 % finer":           {plan.ReadAt{LPI: num(45)}, `{"lpi":51}`, ""},
		"22 % finer":           {plan.ReadAt{LPI: num(45)}, `{"lpi":55}`, "read at 45 lpi; this plate is screened at 55 lpi"},
		"half as fine":         {plan.ReadAt{LPI: num(60)}, `{"lpi":30}`, "read at 60 lpi; this plate is screened at 30 lpi"},
		"another kind":         {plan.ReadAt{Kind: "am"}, `{"lpi":30,"kind":"hybrid"}`, "read at am; this plate is screened at hybrid"},
		"another dot":          {plan.ReadAt{Kind: "fm", DotUM: num(80)}, `{"kind":"fm","dot_um":200}`, "read at 80 um; this plate"},
		"a dot for a ruling":   {plan.ReadAt{DotUM: num(80)}, `{"lpi":45,"kind":"am"}`, ""},
		"another mesh, a note": {plan.ReadAt{ThreadsPerCM: num(20)}, `{"lpi":45,"kind":"am"}`, ""},
	} {
		in := input(t, soft, "#17181a", `,"separation":{"method":"simulated_process"},"halftone":`+c.halftone)
		in.PressCurve = &plan.MeasuredCurve{Curve: tone.EdgeGrowth(45, 10), ReadAt: c.read}
		got := ""
		for _, w := range made(t, in).Doc.Warnings {
			if w.Code == "curve_read_elsewhere" {
				got = w.Message
				if w.Severity != "warning" || w.Remedy == "" {
					t.Errorf("%s: %+v", name, w)
				}
			}
		}
		if (got == "") != (c.want == "") || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

func TestAMeasuredCurveStandsForEveryScreen(t *testing.T) {
	in := input(t, inspected(t, false), "#17181a", `,"separation":{"method":"simulated_process"},"halftone":{"lpi":30}`)
	film, press := tone.EdgeGrowth(60, 4), tone.EdgeGrowth(60, 12)
	in.FilmCurve, in.PressCurve = &plan.MeasuredCurve{Curve: film}, &plan.MeasuredCurve{Curve: press, Noisy: true, NoiseArea: 0.05}
	p := made(t, in)
	said := false
	for _, w := range p.Doc.Warnings {
		said = said || w.Code == plan.NoisyCurve && strings.Contains(w.Message, "the press scatter by 5.0 %")
	}
	if !said || p.Doc.AssumedCurves {
		t.Errorf("assumed %v, warnings %+v", p.Doc.AssumedCurves, p.Doc.Warnings)
	}
	want := tone.Compose(film, press)
	for i, spec := range p.Specs {
		if spec != nil && spec.Kind == halftone.Hybrid && p.Gains[i].At(0.5) != want.At(0.5) {
			t.Errorf("plate %d: 50 %% grows to %g, measured %g", i+1, p.Gains[i].At(0.5), want.At(0.5))
		}
	}
}
