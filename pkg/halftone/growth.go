package halftone

import (
	"math"

	"tamis/pkg/tone"
)

// Growth is the tone curve of a process that moves every edge of this screen's dots outward by growthUM micrometres.
//
// A grid of dots, and a hybrid, whose least dots are but fewer of the same, grow by their ruling (tone.EdgeGrowth); what
// is scattered by the size of its dots as the device draws them, or of its clusters (tone.ScatterGrowth).
func (s *Spec) Growth(growthUM float64) tone.Curve {
	switch {
	case s.Kind != FM:
		return tone.EdgeGrowth(s.FreqLPI, growthUM)
	case s.ClusterUM != 0:
		return tone.ScatterGrowth(s.ClusterUM, growthUM)
	}
	x, y := ActualDot(*s)
	return tone.ScatterGrowth(math.Sqrt(float64(x*y)), growthUM)
}
