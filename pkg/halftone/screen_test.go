package halftone

import "testing"

func TestScreenOfAFlatToneCoversItsArea(t *testing.T) {
	for _, s := range []Spec{
		{Kind: AM, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440},
		{Kind: AM, FreqLPI: 45, AngleDeg: 15, XDPI: 1440, YDPI: 720, Dot: DotEllipse},
		{Kind: Hybrid, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440, DotUM: 80},
	} {
		sc, err := New(s)
		if err != nil {
			t.Fatal(err)
		}
		t.Log(sc.ActualLPI, sc.ActualAngleDeg, sc.strip, sc.Levels)
	}
}
