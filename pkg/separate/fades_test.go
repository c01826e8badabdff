package separate

import (
	"image/color"
	"math"
	"testing"

	"tamis/pkg/artwork"
	col "tamis/pkg/color"
)

// badge is flat art with a gradient: a navy ring about a disc that goes from red at the left to gold at the right, on
// nothing, with bars of both colours beside it.
func badge(size int) *artwork.Image {
	c, s := newCanvas(size, size), float64(size)
	disc := newCanvas(size, size)
	for y := range size {
		for x := range size {
			t := min(max((float64(x)/s-0.3)/0.4, 0), 1)
			disc.SetNRGBA(x, y, color.NRGBA{
				uint8(float64(paintRed.R) + t*(float64(paintGold.R)-float64(paintRed.R)) + 0.5),
				uint8(float64(paintRed.G) + t*(float64(paintGold.G)-float64(paintRed.G)) + 0.5),
				uint8(float64(paintRed.B) + t*(float64(paintGold.B)-float64(paintRed.B)) + 0.5), 255})
		}
	}
	c.disc(s/2, s/2, 0.4*s, paintNavy)
	c.discOf(s/2, s/2, 0.33*s, disc)
	c.fill(size/40, size/4, size/14, size*3/4, paintRed)
	c.fill(size-size/14, size/4, size-size/40, size*3/4, paintGold)
	return c.image()
}

func TestAGradientInFlatArtIsScreenedInTheInksItLiesBetween(t *testing.T) {
	img := badge(900)
	for _, garment := range []string{"#ffffff", "#17181a"} {
		req := request(t, garment)
		r, planes := separated(t, img, req)
		if r.Method != Spot {
			t.Fatalf("method %s", r.Method)
		}
		want := map[string]Rendering{"red": Halftone, "golden": Line, "white": Line}
		for k, p := range r.Plates {
			t.Logf("%s: %s as %s, %s, coverage %.4f, plane %.4f", garment, p.Ink.ID, p.Role, p.Rendering, p.Coverage, planes[k].Mean())
			if w, known := want[p.Ink.ID]; known && p.Rendering != w {
				t.Errorf("%s: %s is rendered %s, want %s", garment, p.Ink.ID, p.Rendering, w)
			}
			if math.Abs(p.Coverage-planes[k].Mean()) > 0.012 {
				t.Errorf("%s: %s predicted %.4f, plane %.4f", garment, p.Ink.ID, p.Coverage, planes[k].Mean())
			}
		}
		if len(r.Plates) > 5 {
			t.Errorf("%d plates", len(r.Plates))
		}
		red, gold := planes[plate(t, r, "red", Color)], planes[plate(t, r, "golden", Color)]
		last := uint8(255)
		for x := 280; x < 620; x += 20 { // along the gradient
			v := red.Row(450)[x]
			if v > last || gold.Row(450)[x] != 255 && x > 300 {
				t.Errorf("%s: at %d red %d after %d, gold %d", garment, x, v, last, gold.Row(450)[x])
			}
			last = v
		}
	}
}

func TestFlatArtHasNoFades(t *testing.T) {
	for _, img := range []*artwork.Image{flatDesign(600), scene(300, 300)} {
		insp := inspected(t, img)
		list, ways := flatsAndFades(&insp.Digest)
		t.Logf("%s: %d colours, %d ways", insp.Kind, len(list), len(ways))
		if insp.Kind == artwork.Flat && ways != nil {
			t.Errorf("%d ways in flat art", len(ways))
		}
		if flatButForFades(&insp.Digest) {
			t.Errorf("%s art counts as flat but for its gradients", insp.Kind)
		}
	}
}

// fadingBar is a red bar that fades into the garment, and a navy one.
func fadingBar() *artwork.Image {
	c := newCanvas(800, 400)
	c.fill(20, 20, 200, 380, paintRed)
	c.fill(600, 20, 780, 380, paintNavy)
	for y := 20; y < 380; y++ {
		for x := 200; x < 560; x++ {
			v := paintRed
			v.A = uint8(255 - (x-200)*255/360)
			c.SetNRGBA(x, y, v)
		}
	}
	return c.image()
}

func TestAFadeIntoTheGarmentIsDotsOfInkOverFewerOfUnderbase(t *testing.T) {
	req := request(t, "#3a3c40")
	req.Method, req.ChokeMM = Spot, 0
	r, planes := separated(t, fadingBar(), req)
	red := plate(t, r, "red", Color)
	if r.Plates[0].Role != Underbase || r.Plates[0].Rendering != Halftone || r.Plates[red].Rendering != Halftone {
		t.Fatalf("underbase %s, red %s", r.Plates[0].Rendering, r.Plates[red].Rendering)
	}
	last := uint8(255)
	for x := 210; x < 550; x += 10 {
		ink, base := planes[red].Row(200)[x], planes[0].Row(200)[x]
		if ink > last || base > ink {
			t.Errorf("at %d red %d after %d, underbase %d", x, ink, last, base)
		}
		last = ink
	}
	if last > 40 {
		t.Errorf("the fade ends at a tone of %d", last)
	}
	for k, p := range r.Plates {
		if math.Abs(p.Coverage-planes[k].Mean()) > 0.02 {
			t.Errorf("%s predicted %.4f, plane %.4f", p.Ink.ID, p.Coverage, planes[k].Mean())
		}
	}
}

func TestAFadeShowsNoFringeOfItsUnderbase(t *testing.T) {
	for _, garment := range []string{"#17181a", "#3a3c40", "#1d3a8a"} {
		req := request(t, garment)
		req.Method = Spot
		r, _ := separated(t, fadingBar(), req)
		sp := r.apply.(*spotter)
		if len(sp.fades) != 1 || len(sp.fades[0].toned) != 2 {
			t.Fatalf("%s: %d fades", garment, len(sp.fades))
		}
		f, worst := &sp.fades[0], 0.0
		print := func(at int) col.Lab {
			cov := make([]float64, sp.count)
			f.each(uint8(at), func(k int, tone uint8) { cov[k] = float64(tone) / 255 })
			return r.stack.Predict(cov)
		}
		lightest := max(print(0).L, print(255).L)
		for at := range f.tones {
			got := print(at)
			worst = max(worst, col.DeltaE00(got, f.blend(float64(at)/255, req.groundRGB())))
			if got.L > lightest+0.01 {
				t.Errorf("%s: at %d L %.1f, the ends have %.1f at most", garment, at, got.L, lightest)
			}
		}
		if worst > 3 {
			t.Errorf("%s: %.2f CIEDE2000 off", garment, worst)
		}
		t.Logf("%s: %.2f CIEDE2000 off at most", garment, worst)
	}
}
