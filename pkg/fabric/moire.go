package fabric

import (
	"math"
	"sort"
)

// viewMM is the nearest a garment is looked at from when visibility is reckoned. Practice: a worn print, a step away.
const viewMM = 1000

// halftoneOrders and meshOrders bound the search: a dot's harmonics above the fifth and a thread's above the second
// carry too little energy to be seen as a beat. TestBeatsNeedNoHigherOrders would notice.
const (
	halftoneOrders = 5
	meshOrders     = 2
)

// Beat is one difference frequency between a halftone and the mesh: f = K halftone - M mesh.
// PeriodMM is its period, +Inf when the two are locked; AngleDeg the direction of its frequency vector, 0..180;
// Visibility 0..1 weighs its amplitude by the eye's contrast sensitivity from 1 m on.
type Beat struct {
	K, M       [2]int
	PeriodMM   float64
	AngleDeg   float64
	Visibility float64
}

// Beats lists the beats of a halftone of freqLPI at angleDeg on a mesh laid at 0 degrees, most visible first, at most
// n, whatever its dot and its tones: see Screen.Beats for a dot's own.
//
// Amplitudes: a round dot at mid-tone has harmonic amplitudes that fall as J1(pi r |k|)/|k|; a thread grid's fall as a
// sinc of the opening; both enveloped here so that a zero crossing at one tone does not hide a beat at another.
func Beats(freqLPI, angleDeg float64, m Mesh, n int) []Beat {
	var beats []Beat
	fh, fm := freqLPI/25.4, m.ThreadsPerCM/10
	sin, cos := math.Sincos(angleDeg * math.Pi / 180)
	for m1 := 0; m1 <= meshOrders; m1++ {
		for m2 := -meshOrders; m2 <= meshOrders; m2++ {
			if m1 == 0 && m2 <= 0 {
				continue // its mirror image is listed
			}
			for k1 := -halftoneOrders; k1 <= halftoneOrders; k1++ {
				for k2 := -halftoneOrders; k2 <= halftoneOrders; k2++ {
					if k1 == 0 && k2 == 0 {
						continue
					}
					x := fh*(float64(k1)*cos-float64(k2)*sin) - fm*float64(m1)
					y := fh*(float64(k1)*sin+float64(k2)*cos) - fm*float64(m2)
					b := beat(x, y, harmonic(k1, k2)*meshHarmonic(m, m1, m2), viewMM)
					b.K, b.M = [2]int{k1, k2}, [2]int{m1, m2}
					beats = append(beats, b)
				}
			}
		}
	}
	sort.SliceStable(beats, func(i, j int) bool { return beats[i].Visibility > beats[j].Visibility })
	return beats[:min(n, len(beats))]
}

// beat turns a frequency vector in cycles/mm and an amplitude into a Beat, seen from distanceMM or farther.
func beat(x, y, amplitude, distanceMM float64) Beat {
	f := math.Hypot(x, y)
	angle := math.Mod(math.Atan2(y, x)*180/math.Pi+360, 180)
	period := math.Inf(1)
	if f > 1e-9 {
		period = 1 / f
	} else {
		angle = 0
	}
	return Beat{PeriodMM: period, AngleDeg: angle, Visibility: amplitude * visible(math.Pi*distanceMM/180*f)}
}

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

// harmonic is the envelope of a dot's Fourier amplitude at order (k1, k2): |k|^-1.5, as J1 falls.
func harmonic(k1, k2 int) float64 {
	return math.Pow(math.Hypot(float64(k1), float64(k2)), -1.5)
}

// meshHarmonic is the amplitude of the hole grid at order (m1, m2), relative to its mean: a sinc each way.
func meshHarmonic(m Mesh, m1, m2 int) float64 {
	w := m.OpeningUM() / m.PitchUM()
	return math.Abs(sinc(w*float64(m1)) * sinc(w*float64(m2)))
}

func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// sensitivity is the eye's contrast sensitivity, 0..1, at f cycles per degree.
// Source: Mannos and Sakrison 1974: A(f) = 2.6 (0.0192 + 0.114 f) exp(-(0.114 f)^1.1).
func sensitivity(f float64) float64 {
	return 2.6 * (0.0192 + 0.114*f) * math.Exp(-math.Pow(0.114*f, 1.1))
}
