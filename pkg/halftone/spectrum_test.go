package halftone

import (
	"encoding/binary"
	"math"
	"math/cmplx"
	"testing"
)

// mustNew makes a screen or ends the test.
func mustNew(t testing.TB, s Spec) *Screen {
	t.Helper()
	sc, err := New(s)
	if err != nil {
		t.Fatalf("%+v: %v", s, err)
	}
	return sc
}

// flat screens a flat tone, 0..1, and sums the ink in blocks of bx by by device pixels: n x n values, 0..1.
func flat(s *Screen, tone float64, n, bx, by int) []float64 {
	words := (n*bx + 63) / 64
	level := make([]byte, words*128)
	for i := 0; i < len(level); i += 2 {
		binary.LittleEndian.PutUint16(level[i:], uint16(math.Round(tone*1020)))
	}
	out, row := make([]float64, n*n), make([]uint64, words)
	for y := range n * by {
		s.Row(row, level, level, 0, 0, y)
		for x := range n * bx {
			if row[x>>6]>>(x&63)&1 != 0 {
				out[y/by*n+x/bx] += 1 / float64(bx*by)
			}
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
		step := cmplx.Rect(1, -2*math.Pi/float64(size))
		for start := 0; start < n; start += size {
			w := complex(1, 0)
			for k := start; k < start+size/2; k++ {
				u, v := a[k], a[k+size/2]*w
				a[k], a[k+size/2] = u+v, u-v
				w *= step
			}
		}
	}
}

// power is the squared spectrum of an n x n picture about its mean.
func power(picture []float64, n int, window func(x int) float64) []float64 {
	mean := 0.0
	for _, v := range picture {
		mean += v / float64(n*n)
	}
	a := make([]complex128, n*n)
	for y := range n {
		for x := range n {
			a[y*n+x] = complex((picture[y*n+x]-mean)*window(x)*window(y), 0)
		}
		fft(a[y*n : (y+1)*n])
	}
	column := make([]complex128, n)
	p := make([]float64, n*n)
	for x := range n {
		for y := range n {
			column[y] = a[y*n+x]
		}
		fft(column)
		for y, v := range column {
			p[y*n+x] = real(v)*real(v) + imag(v)*imag(v)
		}
	}
	return p
}

// measure finds the strongest frequency of a screen's flat tone: ruling and angle (0..90). The window is a Gaussian,
// whose transform is one too, so three neighbouring values give the peak's place between them.
func measure(s *Screen) (lpi, angle float64) {
	const n = 512
	spec := s.Spec
	bx, by := max(1, int(spec.XDPI/spec.FreqLPI/8)), max(1, int(spec.YDPI/spec.FreqLPI/8))
	p := power(flat(s, 0.2, n, bx, by), n, func(x int) float64 {
		d := (float64(x) - n/2) / (n / 7.0)
		return math.Exp(-d * d / 2)
	})
	best := 0
	for i := range p {
		if y, x := i/n, i%n; y > 2 && y < n-2 && x > 2 && x < n/2 && p[i] > p[best] || best == 0 {
			best = i
		}
	}
	refine := func(before, at, after float64) float64 {
		a, b, c := math.Log(before), math.Log(at), math.Log(after)
		return (a - c) / (2 * (a - 2*b + c))
	}
	y, x := best/n, best%n
	fx := float64(x) + refine(p[best-1], p[best], p[best+1])
	fy := float64(y) + refine(p[best-n], p[best], p[best+n])
	if y > n/2 {
		fy -= n
	}
	fx, fy = fx/n/float64(bx)*spec.XDPI, -fy/n/float64(by)*spec.YDPI // y up
	return math.Hypot(fx, fy), math.Mod(math.Atan2(fy, fx)*180/math.Pi+360, 90)
}

func TestRulingAndAngleKeepTheirBounds(t *testing.T) {
	for _, dpi := range [][2]float64{{1440, 1440}, {1440, 720}, {600, 600}, {2540, 2540}, {720, 1440},
		{1444.464, 719.064}} {
		for _, lpi := range []float64{25, 45, 55, 65} {
			for _, angle := range []float64{7.5, 22.5, 61, 75.3} {
				s := mustNew(t, Spec{Kind: AM, FreqLPI: lpi, AngleDeg: angle, XDPI: dpi[0], YDPI: dpi[1]})
				turn := math.Abs(math.Remainder(s.ActualAngleDeg-angle, 90))
				if math.Abs(s.ActualLPI/lpi-1) > maxRulingError || turn > maxAngleErrorDeg {
					t.Errorf("%v dpi, %g lpi at %g: says %g at %g", dpi, lpi, angle, s.ActualLPI, s.ActualAngleDeg)
				}
				if lpi == 25 && angle != 22.5 || lpi == 65 && angle == 61 {
					continue // the stated figures are checked for all, the measured for most
				}
				gotLPI, gotAngle := measure(s)
				turn = math.Abs(math.Remainder(gotAngle-angle, 90))
				if math.Abs(gotLPI/lpi-1) > maxRulingError+0.0001 || turn > maxAngleErrorDeg+0.005 {
					t.Errorf("%v dpi, %g lpi at %g: measured %.4f at %.4f (tolerance 0.1 %%, 0.02 degrees, and a tenth and "+
						"a quarter of that for the measurement)", dpi, lpi, angle, gotLPI, gotAngle)
				}
			}
		}
	}
}

// radial averages the power spectrum of an n x n tone g over rings, white noise being 1, up to frequency limit (cycles
// a pixel).
func radial(picture []float64, n int, g, from, to float64) float64 {
	p := power(picture, n, func(int) float64 { return 1 })
	sum, count := 0.0, 0
	for y := range n {
		for x := range n {
			fy, fx := math.Min(float64(y), float64(n-y))/float64(n), math.Min(float64(x), float64(n-x))/float64(n)
			if f := math.Hypot(fx, fy); f > from && f <= to {
				sum += p[y*n+x]
				count++
			}
		}
	}
	return sum / float64(count) / (g * (1 - g)) / float64(n*n)
}

func TestScatteredDotsAreBlueNoise(t *testing.T) {
	s := mustNew(t, Spec{Kind: FM, DotUM: 70, XDPI: 1440, YDPI: 720})
	bx, by := s.Grid()
	for _, g := range []float64{1.0 / 16, 1.0 / 8, 1.0 / 4} {
		picture := flat(s, g, maskSide, bx, by)
		principal := math.Sqrt(g)
		low := radial(picture, maskSide, g, 0, principal/2)
		peak := radial(picture, maskSide, g, principal*0.85, principal*1.15)
		t.Logf("tone %.4f: power %.3f below half the principal frequency, %.2f about it", g, low, peak)
		if low > 0.15 || peak < 1 {
			t.Errorf("tone %g: low power %.3f (at most 0.15, our bar), at the principal frequency %.2f (at least 1)", g,
				low, peak)
		}
	}
}
