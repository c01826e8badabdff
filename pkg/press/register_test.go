package press_test

import (
	"math"
	"testing"

	"tamis/pkg/press"
)

// TestRegisterErrorsAddAsRootOfSquares uses triangles with whole sides.
func TestRegisterErrorsAddAsRootOfSquares(t *testing.T) {
	for _, r := range []struct{ device, press, total, cover, trap, choke float64 }{
		{0.3, 0.4, 0.5, 0.75, 0.5, 0.75}, {0.05, 0.12, 0.13, 0.195, 0.195, 0.3}, {0, 0.2, 0.2, 0.3, 0.3, 0.3}, {0, 0, 0, 0, 0, 0.3},
		{0.8, 0.6, 1, 1.5, 0.5, 1},
	} {
		got := press.Register{DeviceMM: r.device, PressMM: r.press}
		for name, pair := range map[string][2]float64{"total": {got.TotalMM(), r.total}, "cover": {got.CoverMM(), r.cover},
			"trap": {got.TrapMM(), r.trap}, "choke": {got.ChokeMM(), r.choke}} {
			if math.Abs(pair[0]-pair[1]) > 1e-12 {
				t.Errorf("%+v: %s %.6f mm, want %.3f", got, name, pair[0], pair[1])
			}
		}
	}
}
