package stencil_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"tamis/pkg/stencil"
)

func Example() {
	fmt.Printf("%.2f s\n", 60*stencil.StepFactor(6, 7, stencil.WedgeStep))
	// Output: 84.75 s
}

// TestFactorsGiveTheWorkedTimes uses values worked by a separate script, 0.1 %.
func TestFactorsGiveTheWorkedTimes(t *testing.T) {
	for _, r := range []struct {
		name      string
		got, want float64
	}{
		{"60 s read 9 want 7", 60 * stencil.StepFactor(9, 7, 0.15), 30.07},
		{"60 s read 5 want 7", 60 * stencil.StepFactor(5, 7, 0.15), 119.72},
		{"120 s read 4 want 7", 120 * stencil.StepFactor(4, 7, 0.15), 338.21},
		{"600 to 900 mm", 60 * stencil.DistanceFactor(600, 900), 135},
		{"760 to 1000 mm", 45 * stencil.DistanceFactor(760, 1000), 77.91},
		{"Dmin .04 to .10", 60 * stencil.BaseFactor(0.04, 0.10), 68.89},
		{"leak 3.5/.04", stencil.LeakFraction(0.04, 3.5), 0.000347},
		{"leak 2.5/.08", stencil.LeakFraction(0.08, 2.5), 0.003802},
		{"steps 3.5/.04", stencil.LeakSteps(0.04, 3.5), 23.07},
		{"steps 2.0/.05", stencil.LeakSteps(0.05, 2.0), 13.00},
	} {
		if math.Abs(r.got/r.want-1) > 0.001 {
			t.Errorf("%s: %.5f, want %.5f", r.name, r.got, r.want)
		}
	}
}

func TestWeakBlackDoesNotHoldALongExposure(t *testing.T) {
	leaks := func(dmin, dmax float64) bool {
		return slices.ContainsFunc(stencil.FilmWarnings(dmin, dmax, 7, stencil.WedgeStep),
			func(w stencil.Warning) bool { return w.Code == "black_leaks" })
	}
	if !leaks(0.05, 1.8) {
		t.Error("a black of 1.8 has 11.7 steps: not enough for step 7 with margin")
	}
	if leaks(0.04, 3.5) {
		t.Error("a black of 3.5 holds step 7")
	}
}

func TestDyedMeshTakesLonger(t *testing.T) {
	l := stencil.Lamp{ExposureS: 60, TargetStep: 7, RefDmin: 0.05, YellowFactor: 1.6}
	if got := l.TimeS(0.05, true); math.Abs(got-96) > 1e-9 {
		t.Errorf("dyed mesh %.3f s, want 96", got)
	}
}
