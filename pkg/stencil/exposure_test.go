package stencil_test

import (
	"math"
	"strings"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/stencil"
)

func at(x float64) *float64 { return &x }

// TestTheNewTimeIsTheWorkedOne uses a series worked by a separate script, 0.1 %.
func TestTheNewTimeIsTheWorkedOne(t *testing.T) {
	for _, r := range []struct {
		time, read, target float64
		from, to           float64 // mm; 0: not moved
		want               float64
	}{
		{60, 6, 7, 0, 0, 84.75}, {60, 9, 7, 0, 0, 30.07}, {60, 5, 7, 0, 0, 119.72}, {41, 7, 7, 0, 0, 41.00},
		{120, 4, 7, 0, 0, 338.21}, {60, 7, 6, 0, 0, 42.48}, {60, 7, 7, 600, 900, 135}, {60, 7, 7, 1000, 700, 29.40},
		{60, 7, 7, 400, 800, 240}, {45, 7, 7, 760, 1000, 77.91}, {60, 6, 7, 600, 900, 84.75 * 2.25},
	} {
		test := stencil.Test{ExposureS: r.time, Read: r.read, Target: r.target, StepDensity: 0.15}
		if r.from > 0 {
			test.DistanceMM, test.NewDistanceMM = &r.from, &r.to
		}
		got, err := test.Advise()
		if err != nil || math.Abs(got.ExposureS/r.want-1) > 0.001 || math.Abs(got.Factor-got.ExposureS/r.time) > 1e-12 {
			t.Errorf("%+v: %.3f s, %v; want %.2f within 0.1 %% (worked)", r, got.ExposureS, err, r.want)
		}
	}
}

// TestAWedgeReadAtEveryStepLeadsToOneTime: a lamp that holds step n in t holds step 7 in one time, whichever t was
// tried.
func TestAWedgeReadAtEveryStepLeadsToOneTime(t *testing.T) {
	for read := 3.0; read <= 12; read += 0.5 {
		tried := 60 * math.Pow(10, 0.15*(read-7))
		got, err := stencil.Test{ExposureS: tried, Read: read, Target: 7, StepDensity: 0.15}.Advise()
		if err != nil || math.Abs(got.ExposureS-60) > 1e-9 {
			t.Errorf("step %g in %.1f s leads to %.6f s, want 60 (%v)", read, tried, got.ExposureS, err)
		}
	}
}

// TestLightThroughBlackIsTheWorkedShare: 10^-(Dmax - Dmin) and its steps, 0.1 %.
func TestLightThroughBlackIsTheWorkedShare(t *testing.T) {
	for _, r := range []struct{ dmax, dmin, share, steps float64 }{
		{3.5, 0.04, 0.000347, 23.07}, {2.5, 0.08, 0.003802, 16.13}, {2, 0.05, 0.011220, 13}, {4, 0.04, 0.0001096, 26.40},
	} {
		got, err := stencil.Test{ExposureS: 60, Read: 7, Target: 7, StepDensity: 0.15, FilmDmin: &r.dmin,
			FilmDmax: &r.dmax}.Advise()
		if err != nil || math.Abs(got.Leak.Fraction/r.share-1) > 0.001 || math.Abs(got.Leak.Steps/r.steps-1) > 0.001 {
			t.Errorf("%+v: %+v %v", r, got.Leak, err)
		}
	}
}

func TestALasersWeakBlackIsWarnedOfAndAnImagesettersIsNot(t *testing.T) {
	codes := func(dmax, target float64) string {
		a, err := stencil.Test{ExposureS: 60, Read: 7, Target: target, StepDensity: 0.15, FilmDmin: at(0.08),
			FilmDmax: &dmax}.Advise()
		if err != nil {
			t.Fatal(err)
		}
		var all []string
		for _, w := range a.Warnings {
			all = append(all, w.Code)
		}
		return strings.Join(all, " ")
	}
	for _, r := range []struct {
		dmax, target float64
		want         string
	}{{1.8, 7, "black_leaks weak_black"}, {2.3, 7, "weak_black"}, {2.3, 9, "black_leaks weak_black"}, {3.5, 7,
		""}, {4.2, 9, ""}} {
		if got := codes(r.dmax, r.target); got != r.want {
			t.Errorf("Dmax %g, step %g: %q, want %q", r.dmax, r.target, got, r.want)
		}
	}
}

// TestAFilmFaceUpUndercutsItsDots: 0.10 mm of base, a lamp of 60 mm at 1000 mm: the penumbra is 6.0 um wide (worked).
// Step 7 hardens at 10^-0.95 = 0.1122 of the light, so 0.3878 of it is hardened under each edge: 2.33 um.
func TestAFilmFaceUpUndercutsItsDots(t *testing.T) {
	test := stencil.Test{ExposureS: 60, Read: 7, Target: 7, StepDensity: 0.15, DistanceMM: at(1000), LampMM: at(60),
		GapUM: at(100)}
	a, err := test.Advise()
	if err != nil || math.Abs(a.Undercut.EdgeUM-2.327) > 0.001 || a.Undercut.SmallestUM != 4*a.Undercut.EdgeUM {
		t.Fatalf("%+v %v", a.Undercut, err)
	}
	test.NewDistanceMM = at(500)
	if near, _ := test.Advise(); math.Abs(near.Undercut.EdgeUM-2*a.Undercut.EdgeUM) > 1e-9 {
		t.Errorf("half the distance: %+v", near.Undercut)
	}
	test.GapUM = at(0)
	if tight, _ := test.Advise(); tight.Undercut.SmallestUM != 0 {
		t.Errorf("in contact: %+v", tight.Undercut)
	}
}

func TestAnotherFilmsClearCountsInTheTime(t *testing.T) {
	a, err := stencil.Test{ExposureS: 60, Read: 7, Target: 7, StepDensity: 0.15, FilmDmin: at(0.04),
		NewDmin: at(0.10)}.Advise()
	if err != nil || math.Abs(a.ExposureS/68.89-1) > 0.001 {
		t.Errorf("%.2f s, want 68.89 within 0.1 %% (worked); %v", a.ExposureS, err)
	}
}

func TestEveryFigureOfATestThatCannotBeIsNamed(t *testing.T) {
	bad := stencil.Test{ExposureS: 0, Read: 0, Target: 99, StepDensity: 1, NewDistanceMM: at(1), FilmDmax: at(7),
		NewDmin: at(2),
		LampMM:  at(0), GapUM: at(-1)}
	got := map[string]bool{}
	for _, f := range fault.All(bad.Check()) {
		got[f.Field] = true
	}
	for _, want := range strings.Fields("/exposure_s /step_read /step_target /step_density /distance_mm /new_distance_mm " +
		"/film_dmin /new_film_dmin /film_dmax /lamp_mm /gap_um") {
		if !got[want] {
			t.Errorf("%s is not named", want)
		}
	}
	long := stencil.Test{ExposureS: 60, Read: 1, Target: 41, StepDensity: 0.5}
	if _, err := long.Advise(); fault.Of(err).Code != "exposure_too_long" || fault.Of(err).Field != "/step_target" {
		t.Errorf("6e21 s: %v", err)
	}
	nan := stencil.Test{ExposureS: math.NaN(), Read: 7, Target: 7, StepDensity: 0.15}
	if _, err := nan.Advise(); !fault.Is(err, fault.Invalid) {
		t.Errorf("not a number: %v", err)
	}
}

// TestTheWedgesScaleIsTheUsualOne: steps 1, 2, 7, 11 and 21 of a 21-step wedge have these densities.
func TestTheWedgesScaleIsTheUsualOne(t *testing.T) {
	for step, want := range map[float64]float64{1: 0.05, 2: 0.20, 7: 0.95, 11: 1.55, 21: 3.05} {
		if got := -math.Log10(stencil.HardenedShare(step, stencil.WedgeStep)); math.Abs(got-want) > 1e-9 {
			t.Errorf("step %g has %.4f, want %.2f", step, got, want)
		}
	}
}
