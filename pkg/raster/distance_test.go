package raster

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// slowDistance is the definition.
func slowDistance(p *Plane, x, y int, px, py float64) float64 {
	best := math.Inf(1)
	for v := range p.Height {
		for u := range p.Width {
			if p.Pix[v*p.Width+u] >= 128 {
				best = min(best, math.Hypot(float64(u-x)*px, float64(v-y)*py))
			}
		}
	}
	return best
}

func TestDistanceIsExactWithUnequalPixels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := NewPlane(rapid.IntRange(1, 24).Draw(t, "w"), rapid.IntRange(1, 24).Draw(t, "h"))
		for range rapid.IntRange(0, 8).Draw(t, "n") {
			p.Pix[rapid.IntRange(0, len(p.Pix)-1).Draw(t, "at")] = 255
		}
		px, py := rapid.Float64Range(0.2, 3).Draw(t, "px"), rapid.Float64Range(0.2, 3).Draw(t, "py")
		got := Distance(p, px, py)
		for y := range p.Height {
			for x := range p.Width {
				g, want := float64(got[y*p.Width+x]), slowDistance(p, x, y, px, py)
				if g != want && math.Abs(g-want) > 1e-5*want+1e-6 {
					t.Fatalf("at %d, %d: %g, want %g", x, y, g, want)
				}
			}
		}
	})
}

// softDisc is a disc anti-aliased by 16 x 16 samples a pixel; pixels are sx wide and sy high.
func softDisc(w, h int, cx, cy, r, sx, sy float64) *Plane {
	p := NewPlane(w, h)
	for y := range h {
		for x := range w {
			n := 0
			for k := range 256 {
				dx := (float64(x)+(float64(k%16)+.5)/16)*sx - cx
				dy := (float64(y)+(float64(k/16)+.5)/16)*sy - cy
				if dx*dx+dy*dy <= r*r {
					n++
				}
			}
			p.Pix[y*w+x] = uint8((n*255 + 128) / 256)
		}
	}
	return p
}

// edgeErrors compares where rows and columns cross half coverage with the circle, in px along the edge's normal.
func edgeErrors(p *Plane, cx, cy, r, sx, sy float64) (worst float64, crossings int) {
	check := func(a, b uint8, x, y float64) {
		t := (float64(a) - 127.5) / (float64(a) - float64(b))
		e := math.Hypot((x+t)*sx-cx, y*sy-cy) - r
		worst, crossings = max(worst, math.Abs(e)/max(sx, sy)), crossings+1
	}
	for y := range p.Height {
		dy := (float64(y)+.5)*sy - cy
		for x := range p.Width - 1 {
			a, b := p.Pix[y*p.Width+x], p.Pix[y*p.Width+x+1]
			if a >= 128 && b < 128 && math.Abs(dy) < 0.6*r {
				check(a, b, float64(x)+.5, float64(y)+.5)
			}
		}
	}
	return worst, crossings
}

func TestGrowAndShrinkMoveAnEdgeByAFractionOfAPixel(t *testing.T) {
	for _, pitch := range [][2]float64{{1, 1}, {1, 2}, {0.5, 1}} {
		for _, r := range []float64{0.7, 1.5, 2.25, 4, 6.6} {
			sx, sy := pitch[0], pitch[1]
			w, h := int(100/sx), int(100/sy)
			disc := softDisc(w, h, 50.2, 49.7, 25, sx, sy)
			grown, n := edgeErrors(Grow(t.Context(), disc, r/sx, r/sy), 50.2, 49.7, 25+r, sx, sy)
			shrunk, m := edgeErrors(Shrink(t.Context(), disc, r/sx, r/sy), 50.2, 49.7, 25-r, sx, sy)
			t.Logf("pixels %g x %g, %g: grown within %.3f px, shrunk within %.3f px", sx, sy, r, grown, shrunk)
			if n < 5 || m < 5 || grown > 0.1 || shrunk > 0.1 {
				t.Errorf(
					"pixels %g x %g, %g: grown within %.3f px, shrunk within %.3f px, limit 0.1",
					sx,
					sy,
					r,
					grown,
					shrunk,
				)
			}
		}
	}
}

func BenchmarkShrink(b *testing.B) {
	p := softDisc(1200, 1200, 600, 600, 500, 1, 1)
	b.ReportAllocs()
	for b.Loop() {
		Shrink(b.Context(), p, 3.5, 3.5)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(p.Pix)), "ns/px")
}

func BenchmarkDistance(b *testing.B) {
	p := softDisc(1200, 1200, 600, 600, 500, 1, 1)
	b.ReportAllocs()
	for b.Loop() {
		Distance(p, 1, 1)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(p.Pix)), "ns/px")
}

// TestALargeRadiusIsRightInSteps grows a disc by more than one pass reaches; the area tells the radius. Tolerance 0.3 px
// in 60: what each pass adds to its rim.
func TestALargeRadiusIsRightInSteps(t *testing.T) {
	const size, r, by = 320, 40.0, 60.0
	p := NewPlane(size, size)
	for y := range size {
		for x := range size {
			d := math.Hypot(float64(x)+0.5-size/2, float64(y)+0.5-size/2)
			p.Pix[y*size+x] = uint8(255 * min(max(r-d+0.5, 0), 1))
		}
	}
	grown := Grow(t.Context(), p, by, by)
	if got := math.Sqrt(grown.Mean() * size * size / math.Pi); math.Abs(got-(r+by)) > 0.3 {
		t.Errorf("grown to a radius of %.2f, want %g", got, r+by)
	}
	back := Shrink(t.Context(), grown, by, by)
	if got := math.Sqrt(back.Mean() * size * size / math.Pi); math.Abs(got-r) > 0.5 {
		t.Errorf("shrunk back to a radius of %.2f, want %g", got, r)
	}
}
