package raster

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// covered draws a shape by 16 x 16 samples a pixel.
func covered(w, h int, in func(x, y float64) bool) *Plane {
	p := NewPlane(w, h)
	for y := range h {
		for x := range w {
			n := 0
			for k := range 256 {
				if in(float64(x)+(float64(k%16)+.5)/16, float64(y)+(float64(k/16)+.5)/16) {
					n++
				}
			}
			p.Pix[y*w+x] = uint8((n*255 + 128) / 256)
		}
	}
	return p
}

func TestDepthsOfKnownShapesAreExact(t *testing.T) {
	const size, reach = 60, 9.0
	for _, tall := range []float64{1, 2, 0.5} {
		worst := 0.0
		for deg := 0.0; deg < 360; deg += 11 {
			sin, cos := math.Sincos(deg * math.Pi / 180)
			off := deg / 97
			signed := func(x, y float64) float64 { return (x-30-off)*cos + (y-30)*tall*sin } // of a straight edge
			p := covered(size, size, func(x, y float64) bool { return signed(x, y) > 0 })
			d := NewDepth(t.Context(), p, reach, tall)
			for y := 15; y < 45; y++ { // away from the plane's border, where the edge ends
				for x := 15; x < 45; x++ {
					want := min(max(signed(float64(x)+.5, float64(y)+.5), -reach), reach)
					worst = max(worst, math.Abs(float64(d.Pix[y*size+x])/DepthUnit-want)/max(1, tall))
				}
			}
		}
		t.Logf("pixels %g times as high as wide: depths within %.3f px", tall, worst)
		if worst > 0.04 {
			t.Errorf("pixels %g times as high as wide: depths within %.3f px (tolerance 0.04)", tall, worst)
		}
	}
}

func TestDepthsAreNearestDistancesToTheOutline(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 8))
	for range 12 {
		p, tall := blots(rng, 20+rng.IntN(30), 20+rng.IntN(30)), 0.5+rng.Float64()
		reach := 1 + 5*rng.Float64()
		var pieces []segment
		for y := range p.Height - 1 {
			outline(p, y, func(s segment) { pieces = append(pieces, s) })
		}
		d := NewDepth(t.Context(), p, reach, tall)
		for i, v := range d.Pix {
			want := reach
			for _, s := range pieces {
				want = min(want, toPiece(s, float64(i%p.Width), float64(i/p.Width), tall))
			}
			if got := math.Abs(float64(v)) / DepthUnit; math.Abs(got-want) > 0.01 || p.Pix[i] < 128 && v > 0 {
				t.Fatalf("pixel %d of tone %d: depth %d/%d, %.4f away", i, p.Pix[i], v, DepthUnit, want)
			}
		}
	}
}

// toPiece is the distance to a piece of outline, by points on it.
func toPiece(s segment, x, y, tall float64) float64 {
	best := math.Inf(1)
	for i := range 201 {
		t := float64(i) / 200
		best = min(best, math.Hypot(s.ax+t*(s.bx-s.ax)-x, (s.ay+t*(s.by-s.ay)-y)*tall))
	}
	return best
}

func TestGrowingAddsAndShrinkingTakes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := NewPlane(rapid.IntRange(1, 60).Draw(t, "w"), rapid.IntRange(1, 60).Draw(t, "h"))
		for range rapid.IntRange(0, 30).Draw(t, "n") {
			p.Pix[rapid.IntRange(0, len(p.Pix)-1).Draw(t, "at")] = rapid.Uint8().Draw(t, "v")
		}
		rx, ry := rapid.Float64Range(0.3, 5).Draw(t, "rx"), rapid.Float64Range(0.3, 5).Draw(t, "ry")
		grown, shrunk := Grow(t.Context(), p, rx, ry), Shrink(t.Context(), p, rx, ry)
		for i, v := range p.Pix {
			if v >= 128 && grown.Pix[i] < 128 || v < 128 && shrunk.Pix[i] >= 128 {
				t.Fatalf("at %d: %d, grown %d, shrunk %d", i, v, grown.Pix[i], shrunk.Pix[i])
			}
		}
	})
}

func TestUniformShapesStay(t *testing.T) {
	for _, v := range []uint8{0, 255} {
		p := NewPlane(100, 70)
		for i := range p.Pix {
			p.Pix[i] = v
		}
		for _, q := range []*Plane{Grow(t.Context(), p, 3, 3), Shrink(t.Context(), p, 3, 3), Grow(t.Context(), p, 0, 0)} {
			if string(q.Pix) != string(p.Pix) {
				t.Errorf("a plane of %d changed", v)
			}
		}
	}
}

func TestDepthsDoNotDependOnTheNumberOfCores(t *testing.T) {
	p := blots(rand.New(rand.NewPCG(4, 4)), 300, 300)
	many := NewDepth(t.Context(), p, 7, 1)
	cores := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(cores)
	if one := NewDepth(t.Context(), p, 7, 1); !slices.Equal(one.Pix, many.Pix) {
		t.Error("one core and several differ")
	}
}

func TestMovingEndsWithItsContext(t *testing.T) {
	p := blots(rand.New(rand.NewPCG(4, 5)), 90, 90)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if out := Grow(ctx, p, 9, 9); out != p {
		t.Error("work was done after the end")
	}
}
