package halftone

import (
	"math"
	"testing"
)

// TestADotTurnedByItsTurnIsTheSame asks the spot functions; a quarter turn is claimed for no dot that shows it.
func TestADotTurnedByItsTurnIsTheSame(t *testing.T) {
	for _, d := range Dots() {
		most := 0.0
		for i := range 40 {
			for j := range 40 {
				x, y := float64(i)/20-0.975, float64(j)/20-0.975
				f, known := d.Spot(x, y)
				g, _ := d.Spot(-y, x)
				if known {
					most = max(most, math.Abs(f-g))
				}
			}
		}
		if quarter := d.TurnDeg() == 90; quarter != (most < 1e-12) {
			t.Errorf("%s: turned by 90 degrees it differs by %g; its turn is %g", d, most, d.TurnDeg())
		}
	}
}
