package ink

import (
	"math"

	"tamis/pkg/color"
)

const bands = 31 // 400 to 700 nm

// observer gives, per band, what a unit of reflectance adds to X, Y, Z under a light of 5000 K: scaled so that a white
// of 1 is D50 exactly.
//
// Source: colour matching functions by the fits of C. Wyman, P.-P. Sloan, P. Shirley, J. Computer Graphics Techniques
// 2(2), 2013, table 1 (good to about 1 %); the light is Planck's at 5003 K in place of D50.
func observer() (w [3][bands]float64) {
	lobe := func(x, at, left, right float64) float64 {
		s := left
		if x > at {
			s = right
		}
		return math.Exp(-(x - at) * (x - at) / (2 * s * s))
	}
	for b := range bands {
		nm := 400 + 10*float64(b)
		m := nm * 1e-9
		power := 1e-32 / (m * m * m * m * m * math.Expm1(1.4388e-2/(m*5003)))
		w[0][b] = power * (1.056*lobe(nm, 599.8, 37.9, 31.0) + 0.362*lobe(nm, 442.0, 16.0, 26.7) -
			0.065*lobe(nm, 501.1, 20.4, 26.2))
		w[1][b] = power * (0.821*lobe(nm, 568.8, 46.9, 40.5) + 0.286*lobe(nm, 530.9, 16.3, 31.1))
		w[2][b] = power * (1.217*lobe(nm, 437.0, 11.8, 36.0) + 0.681*lobe(nm, 459.0, 26.0, 13.8))
	}
	for i, white := range [3]float64{0.9642, 1, 0.82491} {
		sum := 0.0
		for _, v := range w[i] {
			sum += v
		}
		for b := range w[i] {
			w[i][b] *= white / sum
		}
	}
	return w
}

// spectra is the space of the smoothest reflectance curves that look as asked.
//
// Source: S. A. Burns, "Numerical methods for smoothest reflectance reconstruction", Color Research and Application
// 45 (2020): the least sum of squared steps of z where the reflectance is (tanh z + 1) / 2, so it stays within 0..1.
func spectra() channels {
	w := observer()
	from := func(v []float64) color.XYZ {
		var x [3]float64
		for i := range x {
			for b, r := range v {
				x[i] += w[i][b] * r
			}
		}
		return color.XYZ{X: x[0], Y: x[1], Z: x[2]}
	}
	return channels{"31 bands", func(x color.XYZ) []float64 { return smoothest(w, [3]float64{x.X, x.Y, x.Z}) }, from}
}

// smoothest solves Burns' equations by Newton's method: 31 values of z and 3 multipliers.
func smoothest(w [3][bands]float64, want [3]float64) []float64 {
	const size = bands + 3
	var z [size]float64
	for range 60 {
		a := make([][]float64, size)
		for i := range a {
			a[i] = make([]float64, size+1)
		}
		for b := range bands {
			t := math.Tanh(z[b])
			d, dd := (1-t*t)/2, -t*(1-t*t) // of the reflectance by z
			for _, o := range []int{b - 1, b + 1} {
				if o >= 0 && o < bands {
					a[b][b] += 2
					a[b][o] -= 2
					a[b][size] -= 2 * (z[b] - z[o])
				}
			}
			for i := range 3 {
				a[b][b] += z[bands+i] * w[i][b] * dd
				a[b][bands+i] = w[i][b] * d
				a[bands+i][b] = w[i][b] * d
				a[b][size] -= z[bands+i] * w[i][b] * d
				a[bands+i][size] -= w[i][b] * (t + 1) / 2
			}
		}
		for i := range 3 {
			a[bands+i][size] += want[i]
		}
		step := 0.0
		for i, v := range solved(a) {
			z[i] += v
			step = max(step, math.Abs(v))
		}
		if step < 1e-10 {
			break
		}
	}
	out := make([]float64, bands)
	for b := range out {
		out[b] = (math.Tanh(z[b]) + 1) / 2
	}
	return out
}

// solved is Gauss elimination with pivots of n rows; the last column is the right side.
func solved(m [][]float64) []float64 {
	n := len(m)
	for k := range n {
		p := k
		for i := k; i < n; i++ {
			if math.Abs(m[i][k]) > math.Abs(m[p][k]) {
				p = i
			}
		}
		m[k], m[p] = m[p], m[k]
		for i := range n {
			if i == k {
				continue
			}
			f := m[i][k] / m[k][k]
			for j := k; j <= n; j++ {
				m[i][j] -= f * m[k][j]
			}
		}
	}
	x := make([]float64, n)
	for i := range x {
		x[i] = m[i][n] / m[i][i]
	}
	return x
}
