package separate

import (
	"image/color"
	"math"
	"testing"

	"tamis/pkg/artwork"
)

// glow is a light that goes from white by amber to nothing.
func glow(size int) *artwork.Image {
	c := newCanvas(size, size)
	for y := range size {
		for x := range size {
			d := math.Hypot(float64(x)/float64(size)-0.5, float64(y)/float64(size)-0.5) * 2
			warm := min(1, max(0, (d-0.2)/0.3))
			a := min(1, max(0, (1-d)/0.5))
			c.SetNRGBA(x, y, color.NRGBA{255, uint8(255 - 100*warm), uint8(255 - 220*warm), uint8(255 * a)})
		}
	}
	return c.image()
}

// Left to Tamis, the method is never one that another would beat by far.
func TestTheMethodLeftToTamisIsNotMuchWorseThanAnother(t *testing.T) {
	for name, img := range map[string]*artwork.Image{"glow": glow(400), "scene": scene(300, 300), "flat": flatDesign(400)} {
		insp := inspected(t, img)
		for _, garment := range []string{"#17181a", "#ffffff"} {
			req := request(t, garment)
			req.MaxScreens = 5
			auto, err := Choose(insp, req)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range []Method{Spot, SimulatedProcess} {
				req.Method = m
				r, err := Choose(insp, req)
				if err == nil && auto.MeanE00 > max(goodCut, r.MeanE00+tonesGain) && insp.Kind != artwork.Flat && fadesToNothing(&insp.Digest) {
					t.Errorf("%s on %s: %s by itself, %.2f; %s gives %.2f", name, garment, auto.Method, auto.MeanE00, m, r.MeanE00)
				}
			}
			t.Logf("%s on %s (%s): %s, %.2f", name, garment, insp.Kind, auto.Method, auto.MeanE00)
		}
	}
}
