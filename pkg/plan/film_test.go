package plan_test

import (
	"fmt"
	"math"
	"testing"

	"tamis/pkg/artwork"
)

func TestAScatteredDotIsReportedAsTheDeviceMakesIt(t *testing.T) {
	for _, r := range []struct{ dpi, asked, actual float64 }{{300, 110, 169.3}, {720, 122, 141.1}, {600, 60, 84.7}, {300, 30, 84.7}} {
		p := made(t, input(t, inspected(t, false), "#ffffff", fmt.Sprintf(`,"halftone":{"kind":"fm","dot_um":%g},
			"film":{"device":{"x_dpi":%g,"y_dpi":%g,"width_mm":400}}`, r.asked, r.dpi, r.dpi)))
		h := p.Doc.Plates[0].Halftone
		if h.ActualDotUM != r.actual {
			t.Errorf("%g um at %g dpi: %g um, want %g (tolerance 0: whole pixels)", r.asked, r.dpi, h.ActualDotUM, r.actual)
		}
		screens, err := p.Screens()
		if err != nil {
			t.Fatal(err)
		}
		if got := min(screens[0].DotXUM, screens[0].DotYUM); math.Abs(got-h.ActualDotUM) > 0.05 {
			t.Errorf("the screen's dot is %g um, the plan's %g (tolerance 0.05)", got, h.ActualDotUM)
		}
	}
}

// TestAFilmThatIsBareIsSaid: its screen costs money, and prints nothing.
func TestAFilmThatIsBareIsSaid(t *testing.T) {
	ramp := &artwork.Image{Width: 400, Height: 400, Pix: make([]uint8, 4*400*400)}
	for i := range 400 * 400 {
		v := uint8(i % 400 * 255 / 399)
		copy(ramp.Pix[4*i:], []uint8{v, v, v, 255})
	}
	insp, err := artwork.Inspect(t.Context(), ramp)
	if err != nil {
		t.Fatal(err)
	}
	p := made(t, input(t, insp, "#17181a", `,"print":{"width_mm":80},"halftone":{"kind":"am","lpi":45},
		"separation":{"method":"simulated_process","max_screens":4}`))
	bare, said := 0, 0
	for _, plate := range p.Doc.Plates {
		if plate.FilmCoverage < 0.0001 {
			bare++
		}
	}
	for _, w := range p.Doc.Warnings {
		if w.Code == "empty_plate" {
			said++
		}
	}
	if bare == 0 || said == 0 {
		t.Errorf("%d films are bare, %d warnings say so: %+v", bare, said, p.Doc.Warnings)
	}
}

// TestAScatteredDotThatTamisPicksHasAMeshForEveryPlate: an underbase wants more ink than the finest mesh brings.
func TestAScatteredDotThatTamisPicksHasAMeshForEveryPlate(t *testing.T) {
	for _, garment := range []string{"#17181a", "#ffffff"} {
		p := made(t, input(t, inspected(t, false), garment, `,"halftone":{"kind":"fm"}`))
		for _, w := range p.Doc.Warnings {
			if w.Code == "mesh_does_not_fit" {
				t.Errorf("on %s, dots of %g um: %s", garment, p.Doc.Plates[0].Halftone.DotUM, w.Message)
			}
		}
	}
}
