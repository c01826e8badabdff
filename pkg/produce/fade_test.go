package produce_test

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"math"
	"testing"

	"tamis/pkg/produce"
)

// fading is a PNG of flat art with a gradient: a bar that goes from red to gold between two solid ends.
func fading(t testing.TB) []byte {
	t.Helper()
	img := image.NewNRGBA(image.Rect(0, 0, 800, 400))
	for y := 50; y < 350; y++ {
		for x := 50; x < 750; x++ {
			at := min(max((float64(x)-250)/300, 0), 1)
			mix := func(a, b float64) uint8 { return uint8(math.Round(a + at*(b-a))) }
			img.SetNRGBA(x, y, color.NRGBA{mix(200, 250), mix(30, 185), mix(40, 30), 255})
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestFlatArtWithAGradientIsMadeOfScreenedAndCutPlates(t *testing.T) {
	if testing.Short() {
		t.Skip("pixels by the million: the race detector's pass has shorter jobs with the same goroutines")
	}
	in := input(t, fading(t), "")
	doc := in.Plan.Doc
	if doc.Method != "spot" {
		t.Fatalf("method %s", doc.Method)
	}
	dots := 0
	for _, p := range doc.Plates {
		if p.Rendering == "halftone" {
			dots++
		}
		if (p.Rendering == "halftone") != (p.Halftone != nil) {
			t.Errorf("plate %d, %s, is rendered %s with the screen %v", p.N, p.Ink.Name, p.Rendering, p.Halftone)
		}
	}
	if dots == 0 || dots == len(doc.Plates) {
		t.Errorf("%d of %d plates are screened", dots, len(doc.Plates))
	}
	r, err := produce.Run(context.Background(), in, newShelf())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Films {
		p := doc.Plates[f.Plate-1]
		if f.Format != "tiff" {
			continue
		}
		t.Logf("plate %d, %s, %s: coverage %.4f, film %.4f", f.Plate, p.Ink.Name, p.Rendering, p.Coverage, f.InkArea)
		tol := 0.03 // choke and trap
		if p.Halftone != nil {
			tol = 0.06 // and what the film holds back for the gain of its dots
		}
		if math.Abs(p.Coverage-f.InkArea) > tol {
			t.Errorf("plate %d: coverage %.4f, film %.4f (tolerance %g)", f.Plate, p.Coverage, f.InkArea, tol)
		}
	}
}
