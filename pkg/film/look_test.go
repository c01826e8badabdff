package film

import (
	"os"
	"tamis/pkg/halftone"
	"testing"
)

func TestLook(t *testing.T) {
	for _, c := range []struct {
		name                string
		w, h, m, dx, dy, dw float64
		reading             Reading
		neg                 bool
	}{
		{"a", 300, 200, 20, 720, 720, 400, "", false},
		{"b", 80, 60, 15, 1440, 720, 400, "", false},
		{"c", 300, 100, 8, 600, 600, 310, WrongInkUp, true},
		{"d", 300, 120, 20, 600, 600, 290, "", false},
		{"e", 120, 160, 5, 600, 600, 290, "", false},
	} {
		l, err := NewLayout(Spec{PrintWidthMM: c.w, PrintHeightMM: c.h, MarginMM: c.m, Plates: 5, Reading: c.reading, Negative: c.neg, Device: Device{XDPI: c.dx, YDPI: c.dy, WidthMM: c.dw}})
		if err != nil {
			t.Fatal(err)
		}
		s, err := halftone.New(l.ScreenSpec(halftone.Spec{Kind: halftone.AM, FreqLPI: 45, AngleDeg: 22.5}))
		if err != nil {
			t.Fatal(err)
		}
		f, err := os.Create("/tmp/look_" + c.name + ".tif")
		if err != nil {
			t.Fatal(err)
		}
		film, err := l.Write(t.Context(), Plate{N: 2, Of: 5, InkName: "Deep ocean blue żółć 海", Role: "highlight", Order: "Order 4711 for the harbour festival", Mesh: "90/cm", Plane: smooth(int(c.w*4), int(c.h*4)), Screen: s, LPI: 45, AngleDeg: 22.5}, f, nil)
		if err != nil {
			t.Fatal(err)
		}
		t.Log(film, l.Rotated, l.PrintBoxPX, l.WidthMM, l.HeightMM)
	}
}
