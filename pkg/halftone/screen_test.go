package halftone

import (
	"testing"
	"time"
)

func TestScreenOfAFlatToneCoversItsArea(t *testing.T) {
	for _, s := range []Spec{
		{Kind: AM, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440},
		{Kind: AM, FreqLPI: 55, AngleDeg: 15, XDPI: 1440, YDPI: 1440},
		{Kind: AM, FreqLPI: 55, AngleDeg: 0, XDPI: 1440, YDPI: 1440},
		{Kind: AM, FreqLPI: 55, AngleDeg: 45, XDPI: 1440, YDPI: 1440},
		{Kind: AM, FreqLPI: 65, AngleDeg: 22.5, XDPI: 600, YDPI: 600},
		{Kind: AM, FreqLPI: 25, AngleDeg: 22.5, XDPI: 2540, YDPI: 2540},
		{Kind: AM, FreqLPI: 15, AngleDeg: 22.5, XDPI: 5080, YDPI: 5080},
		{Kind: AM, FreqLPI: 15, AngleDeg: 37.3, XDPI: 5080, YDPI: 2540},
		{Kind: AM, FreqLPI: 45, AngleDeg: 15, XDPI: 1440, YDPI: 720, Dot: DotEllipse},
		{Kind: AM, FreqLPI: 45, AngleDeg: 15, XDPI: 1440 * 1.0031, YDPI: 720 * .9987, Dot: DotEllipse},
		{Kind: Hybrid, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440, DotUM: 80},
		{Kind: FM, DotUM: 80, XDPI: 1440, YDPI: 1440},
	} {
		now := time.Now()
		sc, err := New(s)
		if err != nil {
			t.Fatal(err)
		}
		t.Log(s.FreqLPI, s.AngleDeg, s.XDPI, s.YDPI, sc.ActualLPI, sc.ActualAngleDeg, sc.strip, sc.strip.size(), sc.Levels, time.Since(now))
	}
}
