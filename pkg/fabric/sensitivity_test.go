package fabric

import (
	"math"
	"testing"
)

// TestSensitivityIsThePublishedCurve checks Mannos and Sakrison's function at values worked by a separate script, 1e-4.
func TestSensitivityIsThePublishedCurve(t *testing.T) {
	for _, r := range [][2]float64{{1, 0.3160}, {2, 0.5280}, {4, 0.8105}, {8, 0.9808}, {16, 0.6908}, {30, 0.1870}, {60, 0.0045}} {
		if got := sensitivity(r[0]); math.Abs(got-r[1]) > 1e-4 {
			t.Errorf("%g cycles a degree: %.5f, want %.4f within 1e-4 (worked)", r[0], got, r[1])
		}
	}
	peak, at := 0.0, 0.0
	for f := 1.0; f < 60; f += 0.01 {
		if s := sensitivity(f); s > peak {
			peak, at = s, f
		}
	}
	if math.Abs(peak-0.9809) > 1e-4 || math.Abs(at-peakCyclesPerDeg) > 0.05 || peak > sensitivityMost {
		t.Errorf("the peak is %.4f at %.2f, want 0.9809 at 7.89", peak, at)
	}
}

// TestCyclesADegreeFollowFromTheDistance: f = pi d / (180 T), worked values, 0.1 %.
func TestCyclesADegreeFollowFromTheDistance(t *testing.T) {
	for _, r := range []struct{ periodMM, distanceMM, want float64 }{{1, 400, 6.981}, {1, 1000, 17.453}, {5, 1000, 3.491}} {
		b := beat(1/r.periodMM, 0, 1, r.distanceMM)
		if want := visible(r.want); math.Abs(b.Visibility/want-1) > 0.001 || math.Abs(b.PeriodMM/r.periodMM-1) > 1e-12 {
			t.Errorf("%+v: visibility %.5f, want %.5f", r, b.Visibility, want)
		}
	}
}
