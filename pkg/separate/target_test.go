package separate

import (
	"math"
	"testing"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
)

// TestBarePaperIsNoPrintedArea: on a shirt of its own white a sheet asks for no ink, and the match is the picture's.
func TestBarePaperIsNoPrintedArea(t *testing.T) {
	white, red := color.RGB8{R: 255, G: 255, B: 255}, [3]float64{200, 30, 40}
	page := &artwork.Digest{Bins: []artwork.Bin{
		{RGB: [3]float64{254.9, 254.9, 254.9}, Alpha: 1, Share: 0.9}, {RGB: red, Alpha: 1, Share: 0.1},
	}}
	weightOfRed := func(d *artwork.Digest, ground color.RGB8) float64 {
		list := targetsOf(d, ground.Lab())
		sum := 0.0
		for _, w := range list {
			sum += w.weight
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Errorf("weights sum to %g", sum)
		}
		return list[len(list)-1].weight
	}
	if w := weightOfRed(page, white); w < 0.8 {
		t.Errorf("on white red has %.3f of the weight", w)
	}
	if w := weightOfRed(page, color.RGB8{R: 23, G: 24, B: 26}); math.Abs(w-0.1) > 1e-9 {
		t.Errorf("on black, where the sheet prints, red has %.3f of the weight, want 0.1", w)
	}
	page.Bins = page.Bins[:1]
	if w := weightOfRed(page, white); w != 1 {
		t.Errorf("a bare sheet alone has a weight of %g", w)
	}
}
