package tone

import (
	"math"

	"tamis/pkg/fault"
)

// FromPoints lays a smooth monotone curve through points (in, out), both 0..1, in rising order of in.
//
// At least two points; in strictly rising, out never falling. Below the first point the curve runs straight to (0, 0),
// above the last straight to (1, 1). What cannot be is fault.Invalid at /points/<n>. No overshoot between points.
//
// Source: F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246; slopes as the weighted harmonic
// mean of F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304.
func FromPoints(points [][2]float64) (Curve, error) {
	if err := checkPoints(points); err != nil {
		return Curve{}, err
	}
	full := withEnds(points)
	slopes := hermiteSlopes(full)
	i := 0
	return fromFunc(func(x float64) float64 {
		for i < len(full)-2 && x > full[i+1][0] {
			i++
		}
		return hermite(full[i], full[i+1], slopes[i], slopes[i+1], x)
	}), nil
}

// checkPoints says what is wrong with every point that cannot be.
func checkPoints(points [][2]float64) error {
	var faults fault.List
	if len(points) < 2 {
		faults.Add(fault.Invalidf("/points", "curve_too_few", "%d points make no curve; it takes 2 or more", len(points)))
	}
	for n, p := range points {
		field := pointField(n)
		switch {
		case !(p[0] >= 0 && p[0] <= 1 && p[1] >= 0 && p[1] <= 1):
			faults.Add(fault.Invalidf(field, "curve_range", "(%g, %g) lies outside 0..1", p[0], p[1]))
		case n > 0 && p[0] <= points[n-1][0]:
			faults.Add(fault.Invalidf(field, "curve_order", "tone %g does not rise above %g before it", p[0], points[n-1][0]))
		case n > 0 && p[1] < points[n-1][1]:
			faults.Add(fault.Invalidf(field, "curve_falls",
				"tone %g gives %g, less than the %g of the lighter tone before it", p[0], p[1], points[n-1][1]))
		}
	}
	return faults.Err()
}

// withEnds adds (0, 0) and (1, 1) where the points stop short of them.
func withEnds(points [][2]float64) [][2]float64 {
	var full [][2]float64
	if points[0][0] > 0 {
		full = append(full, [2]float64{0, 0})
	}
	full = append(full, points...)
	if points[len(points)-1][0] < 1 {
		full = append(full, [2]float64{1, 1})
	}
	return full
}

// hermiteSlopes gives each point a slope that keeps the curve monotone: 0 next to a flat piece, else the weighted
// harmonic mean of the two secants; at the ends the secant itself.
func hermiteSlopes(p [][2]float64) []float64 {
	n := len(p)
	slopes := make([]float64, n)
	secant := func(i int) float64 { return (p[i+1][1] - p[i][1]) / (p[i+1][0] - p[i][0]) }
	slopes[0], slopes[n-1] = secant(0), secant(n-2)
	for i := 1; i < n-1; i++ {
		left, right := secant(i-1), secant(i)
		if left == 0 || right == 0 {
			continue
		}
		h0, h1 := p[i][0]-p[i-1][0], p[i+1][0]-p[i][0]
		w0, w1 := float64(2*h1)+h0, h1+float64(2*h0)
		slopes[i] = (w0 + w1) / (w0/left + w1/right)
	}
	return slopes
}

// hermite reads the cubic between a and b, with slopes ma and mb, at x.
func hermite(a, b [2]float64, ma, mb, x float64) float64 {
	h := b[0] - a[0]
	t := math.Min(math.Max((x-a[0])/h, 0), 1)
	t2 := float64(t * t)
	t3 := float64(t2 * t)
	h01 := float64(3*t2) - float64(2*t3)
	h10 := t3 - float64(2*t2) + t
	h11 := t3 - t2
	v := float64((1-h01)*a[1]) + float64(h01*b[1])
	return v + float64(float64(h10*h)*ma) + float64(float64(h11*h)*mb)
}
