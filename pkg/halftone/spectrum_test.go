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
