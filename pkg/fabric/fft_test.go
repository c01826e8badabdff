package fabric_test

import (
	"math"
	"math/cmplx"

	"tamis/pkg/fabric"
	"tamis/pkg/halftone"
)

// The experiment: a halftone and a mesh drawn hole by hole, multiplied, and transformed. It shares nothing with the
// package but the dot's spot function.

// field is n x n samples of stepMM; y runs up, as angles do.
type field struct {
	n      int
	stepMM float64
	value  []float64
}

// draw gives the print of halftone times mesh less the halftone alone: what the mesh adds. Each sample is the mean of
// fine x fine points, so that edges do not alias. second may be another screen in the mesh's place.
func draw(n int, stepMM float64, fine int, a patch, second func(x, y, side float64) float64) field {
	f := field{n, stepMM, make([]float64, n*n)}
	sub := stepMM / float64(fine)
	for j := range n {
		for i := range n {
			sum := 0.0
			for q := range fine {
				for p := range fine {
					x, y := float64(i)*stepMM+float64(p)*sub, float64(j)*stepMM+float64(q)*sub
					if a.ink(x, y) {
						sum += second(x, y, sub) - 1
					}
				}
			}
			f.value[j*n+i] = sum / float64(fine*fine)
		}
	}
	return f
}

// patch is a flat tone in a halftone.
type patch struct {
	cos, sin float64 // of its angle, times its cells a mm
	cut      float64
	dot      halftone.Dot
}

// newPatch finds the spot value above which a dot inks, for a tone.
func newPatch(lpi, deg float64, dot halftone.Dot, tone float64) patch {
	const n = 300
	low, high := -2.0, 2.0
	for range 40 {
		mid, inked := (low+high)/2, 0
		for j := range n {
			for i := range n {
				if f, _ := dot.Spot((2*float64(i)+1)/n-1, (2*float64(j)+1)/n-1); f > mid {
					inked++
				}
			}
		}
		if float64(inked) > tone*n*n {
			low = mid
		} else {
			high = mid
		}
	}
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return patch{cos * lpi / 25.4, sin * lpi / 25.4, high, dot}
}

func (p patch) ink(x, y float64) bool {
	u, v := x*p.cos+y*p.sin, y*p.cos-x*p.sin
	f, _ := p.dot.Spot(2*(u-math.Round(u)), 2*(v-math.Round(v)))
	return f > p.cut
}

// holes is the mesh as a factor on the ink, 1 on average: its mean over a square of side mm about a point, so that
// sampling it makes no beats of its own.
func holes(m fabric.Mesh) func(x, y, side float64) float64 {
	pitch, open := m.PitchUM()/1000, m.OpeningUM()/1000
	upTo := func(x float64) float64 { // opening from 0 to x
		n := math.Floor(x / pitch)
		return n*open + math.Min(open, x-n*pitch)
	}
	return func(x, y, side float64) float64 {
		return (upTo(x+side/2) - upTo(x-side/2)) * (upTo(y+side/2) - upTo(y-side/2)) / (side * side * m.OpenArea())
	}
}

// spectrum is the amplitude of every frequency of a field under a Blackman-Harris window, whose sidelobes stay 92 dB
// down.
func (f field) spectrum() []float64 {
	a, gain := make([]complex128, f.n*f.n), 0.0
	w := make([]float64, f.n)
	for i := range w {
		t := 2 * math.Pi * (float64(i) + 0.5) / float64(f.n)
		w[i] = 0.35875 - 0.48829*math.Cos(t) + 0.14128*math.Cos(2*t) - 0.01168*math.Cos(3*t)
		gain += w[i]
	}
	mean := 0.0
	for _, v := range f.value {
		mean += v / float64(len(f.value))
	}
	for i, v := range f.value {
		a[i] = complex((v-mean)*w[i%f.n]*w[i/f.n], 0)
	}
	for y := range f.n {
		fft(a[y*f.n : (y+1)*f.n])
	}
	column, out := make([]complex128, f.n), make([]float64, f.n*f.n)
	for x := range f.n {
		for y := range f.n {
			column[y] = a[y*f.n+x]
		}
		fft(column)
		for y, v := range column {
			out[y*f.n+x] = 2 * cmplx.Abs(v) / (gain * gain)
		}
	}
	return out
}

// fft is the discrete Fourier transform of a, whose length is a power of two, in place.
func fft(a []complex128) {
	n := len(a)
	for i, j := 1, 0; i < n; i++ {
		bit := n >> 1
		for ; j&bit != 0; bit >>= 1 {
			j ^= bit
		}
		if j ^= bit; i < j {
			a[i], a[j] = a[j], a[i]
		}
	}
	for size := 2; size <= n; size *= 2 {
		for k := range size / 2 {
			w := cmplx.Rect(1, -2*math.Pi*float64(k)/float64(size))
			for start := k; start < n; start += size {
				u, v := a[start], a[start+size/2]*w
				a[start], a[start+size/2] = u+v, u-v
			}
		}
	}
}

// bin gives the frequency of a bin in cycles/mm; bins past the middle are negative.
func (f field) bin(i int) float64 {
	if i >= f.n/2 {
		i -= f.n
	}
	return float64(i) / (float64(f.n) * f.stepMM)
}

// peakNear finds the strongest wave within radius bins of a frequency, between bins by a parabola through the
// logarithms.
func (f field) peakNear(s []float64, fx, fy float64, radius int) (x, y float64) {
	span := float64(f.n) * f.stepMM
	at := func(i, j int) float64 { return s[((j%f.n+f.n)%f.n)*f.n+(i%f.n+f.n)%f.n] }
	ci, cj := int(math.Round(fx*span)), int(math.Round(fy*span))
	bi, bj := ci, cj
	for j := cj - radius; j <= cj+radius; j++ {
		for i := ci - radius; i <= ci+radius; i++ {
			if at(i, j) > at(bi, bj) {
				bi, bj = i, j
			}
		}
	}
	shift := func(l, m, r float64) float64 {
		l, m, r = math.Log(l), math.Log(m), math.Log(r)
		return (l - r) / (2 * (l - 2*m + r))
	}
	dx := shift(at(bi-1, bj), at(bi, bj), at(bi+1, bj))
	dy := shift(at(bi, bj-1), at(bi, bj), at(bi, bj+1))
	return (float64(bi) + dx) / span, (float64(bj) + dy) / span
}

// inBand gives every wave of a field as an eye at distanceMM or farther sees it: amplitude by contrast sensitivity.
// Waves of more than 60 cycles a degree nobody sees.
func (f field) inBand(s []float64, distanceMM float64, visit func(seen float64)) {
	for j := range f.n {
		for i := range f.n {
			perDeg := math.Hypot(f.bin(i), f.bin(j)) * math.Pi * distanceMM / 180
			if perDeg < 60 {
				v := 0.114 * math.Max(perDeg, 7.89)
				visit(s[j*f.n+i] * 2.6 * (0.0192 + v) * math.Exp(-math.Pow(v, 1.1)))
			}
		}
	}
}

// seen is the strongest wave in the eye's band.
func (f field) seen(s []float64, distanceMM float64) (most float64) {
	f.inBand(s, distanceMM, func(v float64) { most = math.Max(most, v) })
	return most
}

// energy is the root of all the energy in the eye's band.
func (f field) energy(s []float64, distanceMM float64) float64 {
	sum := 0.0
	f.inBand(s, distanceMM, func(v float64) { sum += v * v })
	return math.Sqrt(sum)
}
