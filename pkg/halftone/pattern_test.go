package halftone

import (
	"math"
	"testing"
)

// seen is the contrast sensitivity of the eye at a frequency in cycles a millimetre, looked at from 400 mm: 1 at the
// best frequency. Source: J. L. Mannos and D. J. Sakrison, IEEE Trans. Inf. Theory 20 (1974).
func seen(perMM float64) float64 {
	f := perMM * 400 * math.Pi / 180 // cycles a degree
	return 2.6 * (0.0192 + 0.114*f) * math.Exp(-math.Pow(0.114*f, 1.1)) / 0.9809
}

// visible is the strongest wave longer than four cells that a flat tone holds, where a screen should hold none (shorter
// ones look like the screen itself, whose dots are fifty times as strong), as the eye weighs it: its amplitude, as a
// share of full contrast, and its length in millimetres.
func visible(s *Screen, tone float64) (contrast, mm float64) {
	const n = 1024
	sum := 0.0
	for x := range n {
		sum += hann(x, n)
	}
	p := power(flat(s, tone, n, 1, 1), n, func(x int) float64 { return hann(x, n) })
	for y := range n {
		for x := range n {
			fx := float64(min(x, n-x)) / n * s.Spec.XDPI / 25.4
			fy := float64(min(y, n-y)) / n * s.Spec.YDPI / 25.4
			f := math.Hypot(fx, fy)
			if f > 0 && f < s.Spec.FreqLPI/4/25.4 {
				if c := seen(f) * 2 * math.Sqrt(p[y*n+x]) / (sum * sum); c > contrast {
					contrast, mm = c, 1/f
				}
			}
		}
	}
	return contrast, mm
}

// TestACoarseDeviceHasManyTonesWithoutAPattern counts what 600 dpi gives at 65 lpi, 85 pixels a cell, and looks for
// beats of the cells' unequal shapes.
func TestACoarseDeviceHasManyTonesWithoutAPattern(t *testing.T) {
	// The least contrast an eye sees of one wave alone is about 0.5 % (a sensitivity of 200 in daylight); over a screen
	// whose own dots are fifty times as strong and half as long it takes more. Ours: twice that.
	const unseen = 0.01
	for _, dot := range []Dot{DotRound, DotEllipse} {
		for _, angle := range []float64{7.5, 15, 22.5, 45, 52.5, 75} {
			s := mustNew(t, Spec{Kind: AM, FreqLPI: 65, AngleDeg: angle, XDPI: 600, YDPI: 600, Dot: dot})
			ink, distinct := inkAtEvery(s), map[float64]bool{}
			for step := range 1021 { // what an 8-bit plane with its quarters holds
				distinct[ink[step*32]] = true
			}
			worst, at, long := 0.0, 0.0, 0.0
			for _, tone := range []float64{0.1, 0.21, 0.45, 0.5, 0.62, 0.77} {
				if v, mm := visible(s, tone); v > worst {
					worst, at, long = v, tone, mm
				}
			}
			t.Logf("%-12s at %4.1f: %d distinct tones of 1021 asked, strongest wave %.4f of full contrast, %.1f mm long "+
				"(tone %.2f)", dot, angle, len(distinct), worst, long, at)
			if len(distinct) <= 200 || worst > unseen {
				t.Errorf("%s at %g: %d tones (more than 200 wanted), a pattern of %.4f at tone %g (%g can be seen)", dot, angle,
					len(distinct), worst, at, unseen)
			}
		}
	}
}
