package raster

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

func TestRowOperationsAgreeWithPixelByPixel(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 5))
	for range 2000 {
		width := 1 + r.IntN(200)
		b := NewBitmap(width, 1)
		for x := range width {
			b.Set(x, 0, r.IntN(2) == 1)
		}
		x0, x1 := r.IntN(width+1), r.IntN(width+1)
		count, filled, mirrored := 0, NewBitmap(width, 1), NewBitmap(width, 1)
		copy(filled.Words, b.Words)
		for x := range width {
			if x >= x0 && x < x1 {
				filled.Set(x, 0, true)
				if b.At(x, 0) {
					count++
				}
			}
			mirrored.Set(width-1-x, 0, b.At(x, 0))
		}
		if got := CountBits(b.Row(0), x0, x1); got != count {
			t.Fatalf("CountBits %d..%d of %d is %d, want %d", x0, x1, width, got, count)
		}
		got := make([]uint64, b.WordsPerRow)
		MirrorBits(got, b.Row(0), width)
		if !slices.Equal(got, mirrored.Words) {
			t.Fatalf("MirrorBits of %d differs", width)
		}
		copy(got, b.Words)
		FillBits(got, x0, x1)
		if !slices.Equal(got, filled.Words) {
			t.Fatalf("FillBits %d..%d of %d differs", x0, x1, width)
		}
	}
}

func TestOrBitsLaysInkOverInkAndCutsTheRest(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 5))
	for range 2000 {
		src, dst, want := NewBitmap(1+r.IntN(150), 1), NewBitmap(256, 1), NewBitmap(256, 1)
		for range 40 {
			x := r.IntN(256)
			dst.Set(x, 0, true)
			want.Set(x, 0, true)
			src.Set(r.IntN(src.Width), 0, true)
		}
		at := r.IntN(500) - 200
		for x := range src.Width {
			if src.At(x, 0) {
				want.Set(x+at, 0, true)
			}
		}
		OrBits(dst.Row(0), src.Row(0), at)
		if !slices.Equal(dst.Words, want.Words) {
			t.Fatalf("%d bits at %d differ", src.Width, at)
		}
	}
}

func TestFillRectIsClipped(t *testing.T) {
	b := NewBitmap(70, 5)
	b.FillRect(-3, 3, 900, 900)
	if b.Count() != 140 || b.At(-1, 3) || b.At(70, 3) || !b.At(69, 4) || b.At(69, 2) {
		t.Errorf("%d pixels, want the last two rows of 70", b.Count())
	}
}

func TestReduceKeepsTheMean(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for range 200 {
		p := NewPlane(1+r.IntN(60), 1+r.IntN(60))
		for i := range p.Pix {
			p.Pix[i] = uint8(r.IntN(256))
		}
		q := Reduce(p, 1+r.IntN(p.Width), 1+r.IntN(p.Height))
		if off := q.Mean() - p.Mean(); off > 0.5/255 || off < -0.5/255 {
			t.Fatalf("%d x %d to %d x %d: the mean moves by %g (tolerance half a step)", p.Width, p.Height, q.Width,
				q.Height, off)
		}
	}
	p := &Plane{Width: 3, Height: 1, Pix: []uint8{0, 90, 240}}
	if got := Reduce(p, 2, 1).Pix; got[0] != 30 || got[1] != 190 {
		t.Errorf("0 90 240 over two is %v, want 30 190: a pixel and half of the middle one each", got)
	}
}

func TestTurnLeftBringsTheTopToTheLeft(t *testing.T) {
	p := &Plane{Width: 3, Height: 2, Pix: []uint8{1, 2, 3, 4, 5, 6}}
	q := TurnLeft(p)
	if q.Width != 2 || q.Height != 3 || !slices.Equal(q.Pix, []uint8{3, 6, 2, 5, 1, 4}) {
		t.Errorf("%d x %d %v", q.Width, q.Height, q.Pix)
	}
}

// A bitmap's words start at the left with their least significant bit.
func ExampleBitmap() {
	b := NewBitmap(70, 2)
	b.FillRect(2, 0, 5, 1)
	b.Set(69, 1, true)
	fmt.Printf("%b %d\n", b.Row(0)[0], b.Count())
	// Output: 11100 4
}
