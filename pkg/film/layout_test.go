package film

import (
	"math"
	"strings"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/halftone"
	"tamis/pkg/raster"
)

func TestPrintIsNarrowedThenTurnedThenRefused(t *testing.T) {
	for _, c := range []struct {
		name                string
		width, height, film float64
		length              float64
		turned              bool
		across              float64 // side margin
	}{
		{"room for all", 300, 400, 610, 0, false, 20},
		{"margins give way a little", 300, 400, 330, 0, false, 15},
		{"turned before they vanish", 400, 200, 410, 0, true, 20},
		{"turned because it must", 400, 200, 300, 0, true, 20},
		{"bare edges where nothing else helps", 400, 395, 400, 500, false, 0},
		{"sheet a little short", 100, 275, 330, 300, false, 20},
		{"sheet too short unless turned", 100, 290, 330, 300, true, 20},
	} {
		l := mustLay(t, Spec{PrintWidthMM: c.width, PrintHeightMM: c.height, MarginMM: 20, Plates: 1,
			Device: Device{XDPI: 300, YDPI: 300, WidthMM: c.film, MaxLengthMM: c.length}})
		if l.Rotated != c.turned || math.Abs(l.marginMM[0]-c.across) > 1e-9 {
			t.Errorf("%s: turned %v with %g mm, want %v with %g", c.name, l.Rotated, l.marginMM[0], c.turned, c.across)
		}
		if l.WidthMM > c.film+0.05 || c.length > 0 && l.HeightMM > c.length+0.05 {
			t.Errorf("%s: a film of %g x %g mm on a device of %g x %g", c.name, l.WidthMM, l.HeightMM, c.film, c.length)
		}
	}
	_, err := NewLayout(Spec{PrintWidthMM: 700, PrintHeightMM: 500, Plates: 1,
		Device: Device{XDPI: 300, YDPI: 300, WidthMM: 330}})
	f := fault.Of(err)
	if f.Kind != fault.Invalid || f.Field != "/print/width_mm" || !strings.Contains(f.Msg, "up to 462 mm") {
		t.Errorf("%v: want an Invalid fault at /print/width_mm that names 462 mm (330 high when turned)", err)
	}
}

func TestLayoutNamesEveryBadField(t *testing.T) {
	_, err := NewLayout(Spec{PrintWidthMM: math.NaN(), PrintHeightMM: -1, MarginMM: -3, Reading: "sideways",
		Device: Device{XDPI: 1, YDPI: 300, WidthMM: 330, ScaleX: 2}})
	fields := map[string]bool{}
	for _, f := range fault.All(err) {
		fields[f.Field] = true
	}
	for _, want := range []string{"/print/width_mm", "/print/height_mm", "/film/margin_mm", "/film/reading",
		"/film/device/x_dpi", "/film/device/scale_x"} {
		if !fields[want] {
			t.Errorf("no fault at %s; there are %v", want, fields)
		}
	}
}

func TestTurnedPrintHasItsTopAtTheLeft(t *testing.T) {
	l := mustLay(t, Spec{PrintWidthMM: 100, PrintHeightMM: 40, MarginMM: 10, Plates: 1,
		Device: Device{XDPI: 300, YDPI: 300, WidthMM: 70}})
	if !l.Rotated {
		t.Fatal("not turned")
	}
	p := Plate{N: 1, Of: 1, InkName: "Corner", Plane: raster.NewPlane(100, 40)}
	for y := range 10 {
		for x := range 20 {
			p.Plane.Pix[y*100+x] = 255 // the top left corner
		}
	}
	b, box := rendered(l, p), l.PrintBoxPX
	if !b.At(box[0]+5, box[3]-5) || b.At(box[0]+5, box[1]+5) || b.At(box[2]-5, box[3]-5) {
		t.Error("the art's top left corner is not at the film's bottom left")
	}
	if s := l.ScreenSpec(halftone.Spec{AngleDeg: 22.5}); s.AngleDeg != 112.5 {
		t.Errorf("the screen's angle on the film is %g, want 112.5", s.AngleDeg)
	}
}
