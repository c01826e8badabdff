package raster

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// patches are regions of random rectangles of up to labels labels, with shared pixels along some borders.
func patches(r *rand.Rand, width, height, labels int) *Regions {
	g := NewRegions(width, height)
	for range 1 + r.IntN(8) {
		x0, y0 := r.IntN(width), r.IntN(height)
		x1, y1 := min(x0+1+r.IntN(width), width), min(y0+1+r.IntN(height), height)
		a, b, share := uint8(r.IntN(labels)), uint8(r.IntN(labels)), uint8(r.IntN(256))
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				i := y*width + x
				g.A[i], g.B[i], g.Share[i] = a, a, 255
				if x == x0 || y == y1-1 {
					g.B[i], g.Share[i] = b, share
				}
			}
		}
	}
	return g
}

// winner is the definition: the label with the largest share, each upsampled by itself.
func winner(planes []*Plane, x, y int, across, down Cubic) int {
	best, most := 0, planes[0].CubicAt(x, y, across, down)
	for k, p := range planes {
		if v := p.CubicAt(x, y, across, down); v > most {
			best, most = k, v
		}
	}
	return best
}

func TestRegionCutIsTheDefinitionPixelForPixel(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 300 {
		labels := 1 + r.IntN(5)
		g := patches(r, 1+r.IntN(40), 1+r.IntN(12), labels)
		planes := make([]*Plane, labels)
		for k := range planes {
			planes[k] = NewPlane(g.Width, g.Height)
			for i := range planes[k].Pix {
				planes[k].Pix[i] = g.Of(i, 1<<k)
			}
		}
		w, h := 1+r.IntN(150), 1+r.IntN(60)
		across, down := NewAxis(g.Width, w, float64(w)+r.Float64()-0.5, 1, 0), NewAxis(g.Height, h, float64(h), 1, 0)
		own := Labels(r.IntN(1 << labels))
		under := Labels(r.IntN(1<<labels)) &^ own
		c := NewRegionCut(&Shape{g, own, under}, across, down)
		x0 := r.IntN(70)
		for i := range h {
			got, want := [2][]uint64{make([]uint64, 5), make([]uint64, 5)}, [2][]uint64{make([]uint64, 5), make([]uint64, 5)}
			c.Row(got[0], got[1], x0, i)
			for x := range w {
				at := uint8(winner(planes, int(across.Index[x]), int(down.Index[i]),
					CubicWeights(int(across.Weight[x])), CubicWeights(int(down.Weight[i]))))
				for k, set := range []Labels{own, under} {
					if set.Has(at) {
						want[k][(x0+x)>>6] |= 1 << ((x0 + x) & 63)
					}
				}
			}
			if !slices.Equal(got[0], want[0]) || !slices.Equal(got[1], want[1]) {
				t.Fatalf("%d labels, %d x %d to %d x %d, row %d differs from the definition", labels, g.Width, g.Height, w,
					h, i)
			}
		}
	}
}

func TestCutsOfDisjointLabelsShareTheFilm(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 5))
	g := patches(r, 50, 40, 6)
	across, down := NewAxis(50, 333, 333, 1, 0), NewAxis(40, 190, 190, 1, 0)
	var cuts []*RegionCut
	for _, set := range []Labels{1 | 8, 2, 4 | 16 | 32} {
		cuts = append(cuts, NewRegionCut(&Shape{Regions: g, Own: set}, across, down))
	}
	for i := range 190 {
		sum, any := 0, make([]uint64, 6)
		for _, c := range cuts {
			row := make([]uint64, 6)
			c.Row(row, nil, 0, i)
			sum += CountBits(row, 0, 333)
			for w := range row {
				any[w] |= row[w]
			}
		}
		if sum != 333 || CountBits(any, 0, 333) != 333 {
			t.Fatalf("row %d: %d inks on %d of 333 pixels", i, sum, CountBits(any, 0, 333))
		}
	}
}

func TestRegionsTurnAsPlanesDo(t *testing.T) {
	g := patches(rand.New(rand.NewPCG(7, 5)), 9, 6, 4)
	turned := g.TurnLeft()
	p := NewPlane(g.Width, g.Height)
	for i := range p.Pix {
		p.Pix[i] = g.Of(i, 1|4)
	}
	for i, v := range TurnLeft(p).Pix {
		if turned.Of(i, 1|4) != v {
			t.Fatalf("pixel %d: share %d, the turned plane has %d", i, turned.Of(i, 1|4), v)
		}
	}
}
