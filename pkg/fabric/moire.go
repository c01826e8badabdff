package fabric

import "math"

// viewMM is the nearest a garment is looked at from when visibility is reckoned. Practice: a worn print, a step away.
const viewMM = 1000

// meshOrders bounds the mesh's harmonics: a thread's above the second carry too little energy to be seen as a beat.
const meshOrders = 2

// Beat is one difference frequency between a halftone and the mesh: f = K halftone - M mesh.
// PeriodMM is its period, +Inf when the two are locked; AngleDeg the direction of its frequency vector, 0..180;
// Visibility 0..1 weighs its amplitude by the eye's contrast sensitivity from 1 m on.
type Beat struct {
	K, M       [2]int
	PeriodMM   float64
	AngleDeg   float64
	Visibility float64
}

// beat turns a frequency vector in cycles/mm and an amplitude into a Beat, seen from distanceMM or farther.
func beat(x, y, amplitude, distanceMM float64) Beat {
	f := math.Sqrt(float64(x*x) + float64(y*y))
	angle := math.Mod(math.Atan2(y, x)*180/math.Pi+360, 180)
	period := math.Inf(1)
	if f > 1e-9 {
		period = 1 / f
	} else {
		angle = 0
	}
	return Beat{PeriodMM: period, AngleDeg: angle, Visibility: amplitude * visible(math.Pi*distanceMM/180*f)}
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
