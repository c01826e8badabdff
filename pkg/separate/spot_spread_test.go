package separate

import (
	"math"
	"os"
	"testing"

	"tamis/pkg/artwork"
)

// demoArt is one of the project's demo pictures, at most so many pixels a side.
func demoArt(t testing.TB, name string, mostPX int) *artwork.Image {
	t.Helper()
	data, err := os.ReadFile("../../testdata/art/" + name)
	if err != nil {
		t.Fatal(err)
	}
	img, err := artwork.Decode(t.Context(), data, artwork.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return img.Reduced(mostPX)
}

// checkSpread compares predicted coverage with the planes, relative to them.
func checkSpread(t *testing.T, name string, img *artwork.Image, garment string, widthMM, tol float64) {
	t.Helper()
	req := request(t, garment)
	req.Method, req.TrapMM, req.ChokeMM, req.PrintWidthMM = Spot, 0.34, 0.3, widthMM
	req.PrintHeightMM = widthMM * float64(img.Height) / float64(img.Width)
	r, planes := separated(t, img, req)
	for k, p := range r.Plates {
		off := p.Coverage/planes[k].Mean() - 1
		t.Logf("%s on %s, %g mm: %s as %s predicted %.4f, plane %.4f, %+.1f %%", name, garment, widthMM, p.Ink.ID, p.Role,
			p.Coverage, planes[k].Mean(), 100*off)
		if math.Abs(off) > tol {
			t.Errorf("%s on %s, %g mm: %s as %s predicted %.4f, plane %.4f: %+.1f %%, tolerance %.0f %%", name, garment,
				widthMM, p.Ink.ID, p.Role, p.Coverage, planes[k].Mean(), 100*off, 100*tol)
		}
	}
}

// Tolerance: Ours; films and squeegees are priced and planned from coverage in tenths.
func TestCoverageOfDemoArtCountsTrapAndChoke(t *testing.T) {
	orchard, bee := demoArt(t, "orchard-fair.png", 1300), demoArt(t, "bee-stencil.png", 800)
	for _, widthMM := range []float64{60, 150, 300} {
		checkSpread(t, "orchard-fair", orchard, "#7a8288", widthMM, 0.15)
		checkSpread(t, "bee-stencil", bee, "#f0f0f0", widthMM, 0.15)
		checkSpread(t, "discs", flatDesign(600), "#17181a", widthMM, 0.15)
		checkSpread(t, "fading bar", fadingBar(), "#3a3c40", widthMM, 0.15)
	}
}
