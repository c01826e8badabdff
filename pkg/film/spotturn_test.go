package film

import (
	"math/rand/v2"
	"testing"

	"tamis/pkg/raster"
)

func TestAShapeIsTheSameOnATurnedPage(t *testing.T) {
	g := raster.NewRegions(120, 60)
	rng := rand.New(rand.NewPCG(1, 6))
	for range 12 {
		x0, y0, l := rng.IntN(100), rng.IntN(50), uint8(rng.IntN(4))
		for y := y0; y < min(y0+25, 60); y++ {
			for x := x0; x < min(x0+40, 120); x++ {
				g.A[y*120+x], g.B[y*120+x] = l, l
			}
		}
	}
	p := Plate{N: 1, Of: 1, Plane: raster.NewPlane(120, 60), Shape: &raster.Shape{Regions: g, Own: 1 << 1, Under: 1 << 2}}
	for i := range p.Plane.Pix {
		p.Plane.Pix[i] = g.Of(i, 1<<1)
		if i%120 > 60 {
			p.Plane.Pix[i] = 255
		}
	}
	spec := Spec{PrintWidthMM: 101.6, PrintHeightMM: 50.8, Plates: 1, Device: Device{XDPI: 360, YDPI: 360, WidthMM: 110}}
	upright := cutBits(mustLay(t, spec), p)
	spec.Device.WidthMM = 60
	l := mustLay(t, spec)
	turned := cutBits(l, p)
	if !l.Rotated || turned.Width != upright.Height || turned.Height != upright.Width {
		t.Fatalf("%d x %d, turned %d x %d", upright.Width, upright.Height, turned.Width, turned.Height)
	}
	differ := 0
	for y := range upright.Height {
		for x := range upright.Width {
			if upright.At(x, y) != turned.At(y, upright.Width-1-x) {
				differ++
			}
		}
	}
	if n := upright.Count(); n == 0 || differ > n/500 { // ties at half fall the other way when turned
		t.Errorf("%d of %d ink pixels differ", differ, n)
	}
}
