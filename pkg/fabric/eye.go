package fabric

import "math"

// peakCyclesPerDeg is where the eye's contrast sensitivity is greatest, and sensitivityMost a little more than it is
// there.
const (
	peakCyclesPerDeg = 7.89
	sensitivityMost  = 0.981
)

// visible is the sensitivity for a beat of f cycles a degree where one stands, at the distance that shows it best: one
// steps back from a garment, never nearer, so a slow beat meets the eye's peak somewhere. A locked pair (f = 0) counts
// so too: mesh stretches, and the beat drifts into view.
func visible(f float64) float64 { return sensitivity(math.Max(f, peakCyclesPerDeg)) }

// sensitivity is the eye's contrast sensitivity, 0..1, at f cycles per degree.
// Source: Mannos and Sakrison 1974: A(f) = 2.6 (0.0192 + 0.114 f) exp(-(0.114 f)^1.1).
func sensitivity(f float64) float64 {
	return 2.6 * (0.0192 + 0.114*f) * math.Exp(-math.Pow(0.114*f, 1.1))
}

// mostCyclesPerDeg is far beyond what the eye resolves.
const mostCyclesPerDeg = 100

// eye looks from a distance, or from farther. most is the most that it sees of a wave of so many cycles a degree and more:
// the sensitivity falls from its peak on, and is dear to reckon.
type eye struct {
	distanceMM, perDegree float64
	most                  [mostCyclesPerDeg]float64
}

func newEye(distanceMM float64) *eye {
	e := &eye{distanceMM: distanceMM, perDegree: math.Pi * distanceMM / 180}
	for f := range e.most {
		e.most[f] = visible(float64(f))
	}
	return e
}

// sees is the visibility of a wave; 0 where it is no more than least.
func (e *eye) sees(f frequency, amplitude, least float64) float64 {
	perDeg := math.Sqrt(float64(f.x*f.x)+float64(f.y*f.y)) * e.perDegree
	if perDeg >= mostCyclesPerDeg || amplitude*e.most[int(perDeg)] <= least {
		return 0
	}
	if v := amplitude * visible(perDeg); v > least {
		return v
	}
	return 0
}
