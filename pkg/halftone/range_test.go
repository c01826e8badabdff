package halftone

import (
	"testing"

	"tamis/pkg/fault"
)

// TestEveryScreenHasASupercell goes through the range that orders may ask for: no specification is left without a
// supercell, and what it becomes is within the bounds.
func TestEveryScreenHasASupercell(t *testing.T) {
	angles := []float64{-180, -22.5, 0, 7.5, 15, 22.5, 30, 45, 52.5, 67.5, 75, 82.5, 90, 135, 180}
	devices := [][2]float64{{300, 300}, {600, 600}, {720, 720}, {1440, 720}, {1440, 1440}, {2540, 2540}, {2880, 1440}, {5080, 5080}}
	worst, count := 0.0, 0
	for _, device := range devices {
		for _, lpi := range []float64{15, 20, 25, 27, 30, 36, 40, 45, 55, 60, 65, 85, 100, 120} {
			for _, angle := range angles {
				s := Spec{XDPI: device[0], YDPI: device[1], FreqLPI: lpi, AngleDeg: angle}
				for _, least := range []int{leastCells, hybridCells} {
					c := findSupercell(s, least)
					if c.area() == 0 || c.area() > maxSupercellPX {
						t.Fatalf("%g x %g dpi, %g lpi, %g degrees, %d cells: %+v", s.XDPI, s.YDPI, lpi, angle, least, c)
					}
					worst = max(worst, c.deviation(s))
					count++
				}
			}
		}
	}
	t.Logf("%d specifications, worst %.2f of the bounds of ruling and angle", count, worst)
	if worst > 1 {
		t.Errorf("ruling or angle is off by %.2f of its bound", worst)
	}
}

// TestWhatHasNoSupercellIsRefused asks for lines wider than any supercell has many of.
func TestWhatHasNoSupercellIsRefused(t *testing.T) {
	for _, s := range []Spec{{FreqLPI: 5, XDPI: 5080, YDPI: 10160}, {FreqLPI: 8, XDPI: 5080, YDPI: 5080},
		{FreqLPI: 20, XDPI: 10160, YDPI: 5080}} {
		s.Kind = AM
		if _, err := New(s); fault.Of(err).Code != "lpi_too_coarse" {
			t.Errorf("%g lpi at %g x %g dpi: %v", s.FreqLPI, s.XDPI, s.YDPI, err)
		}
	}
}
