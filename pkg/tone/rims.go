package tone

import "math"

// rims is the part of a gain that follows the length of the dots' edges, which grows from bare stock as the square root
// of the tone and shrinks so towards the solid: even says how much edges grow, skew how much more in light tones than in
// dark ones. A spline cannot bend like that near the ends; this can.
type rims struct{ even, skew float64 }

// at is the gain at a tone, 0..1.
func (r rims) at(x float64) float64 {
	even, skew := rimShapes(x)
	return float64(r.even*even) + float64(r.skew*skew)
}

// rimShapes are the two parts of size 1.
func rimShapes(x float64) (even, skew float64) {
	even = math.Sqrt(float64(x * (1 - x)))
	return even, float64(even * (1 - 2*x))
}

// free is how many freedoms the fit used up.
func (r rims) free() float64 {
	if r.skew == 0 {
		return 1
	}
	return 2
}

// fitRims fits the two to the knots by least squares; the even one alone where there are few knots.
func fitRims(knots []knot) rims {
	var ee, es, ss, ey, sy float64
	for _, k := range knots {
		if k.spread == 0 {
			continue
		}
		e, s := rimShapes(k.x)
		ee += float64(e*e) / k.spread
		es += float64(e*s) / k.spread
		ss += float64(s*s) / k.spread
		ey += float64(e*k.y) / k.spread
		sy += float64(s*k.y) / k.spread
	}
	det := float64(ee*ss) - float64(es*es)
	if len(knots) < 7 || det < 1e-6*float64(ee*ss) { // five between the ends
		return rims{even: ey / ee}
	}
	return rims{(float64(ey*ss) - float64(sy*es)) / det, (float64(sy*ee) - float64(ey*es)) / det}
}
