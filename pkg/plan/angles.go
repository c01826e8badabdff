package plan

import (
	"fmt"
	"math"

	"tamis/pkg/fabric"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
)

// halftoneAngles are the angles searched for the least visible moire. Practice: the weavers' film angles for straight
// mesh first; 0, 45 and 90 are never tried.
var halftoneAngles = []float64{22.5, 52.5, 7.5, 82.5, 67.5, 37.5, 17.5, 27.5, 62.5, 72.5}

// processAngles sets the strong process inks 30 degrees apart and yellow between two. Source: Amidror, Hersch and
// Ostromoukhov 1994 for the 30 degrees; practice for which ink takes which.
var processAngles = map[string]float64{"cyan": 22.5, "magenta": 82.5, "yellow": 7.5, "black": 52.5}

// angles settles the angle of every plate with a ruling: the order's; the process set; or one for all, that whose
// worst beat over all the plates' meshes is the least visible. Practice: inks of simulated process share one angle.
func (d *draft) angles(meshes []fabric.Mesh) {
	shared := d.sharedAngle(meshes)
	for i := range d.Doc.Plates {
		p := &d.Doc.Plates[i]
		if p.Halftone == nil || p.Halftone.LPI == 0 {
			continue
		}
		p.Halftone.AngleDeg = shared
		if asked := d.Input.Order.Halftone.AngleDeg; asked != nil {
			p.Halftone.AngleDeg = *asked
		} else if d.Recipe.Method == separate.Process {
			d.processAngle(p)
		}
		d.beat(p, meshes[i])
	}
}

func (d *draft) sharedAngle(meshes []fabric.Mesh) float64 {
	best, least := halftoneAngles[0], math.Inf(1)
	for _, angle := range halftoneAngles {
		worst := 0.0
		for i, p := range d.Doc.Plates {
			if p.Halftone != nil && p.Halftone.LPI > 0 {
				worst = math.Max(worst, fabric.Beats(p.Halftone.LPI, angle, meshes[i], 1)[0].Visibility)
			}
		}
		if worst < least-1e-12 {
			best, least = angle, worst
		}
	}
	return best
}

// A beat is worth a warning when it is coarser than the halftone's texture and of a plain amplitude. Ours: 2 mm is four
// cells of 55 lpi; 0.03 is a third of the amplitude of a locked fourth order.
const (
	coarseBeatMM = 2
	plainBeat    = 0.03
)

// beat notes the plate's most visible moire, and warns of a coarse one.
func (d *draft) beat(p *Plate, m fabric.Mesh) {
	worst := fabric.Beats(p.Halftone.LPI, p.Halftone.AngleDeg, m, 1)[0]
	period := min(worst.PeriodMM, 1e6) // a locked pair has no period a document could hold
	p.Halftone.Beat = &Beat{PeriodMM: milli(period), AngleDeg: tenth(worst.AngleDeg), Visibility: fine(worst.Visibility)}
	if period > coarseBeatMM && worst.Visibility > plainBeat {
		d.warn(p.N, "moire", fmt.Sprintf("plate %d: %g lpi at %g degrees beats with %g threads/cm every %.1f mm", p.N,
			p.Halftone.LPI, p.Halftone.AngleDeg, m.ThreadsPerCM, period))
	}
}

// processAngle sets the fixed angle of a process ink, known by its hue; another ink keeps the shared one.
func (d *draft) processAngle(p *Plate) {
	for _, one := range d.Input.Shop.Inks.Inks {
		if name, ok := processName(one); ok && one.ID == p.Ink.ID {
			p.Halftone.AngleDeg = processAngles[name]
		}
	}
}

// processName tells cyan, magenta, yellow and black apart by their solids over white.
func processName(i shop.Ink) (string, bool) {
	l, a, b := i.LabOverWhite[0], i.LabOverWhite[1], i.LabOverWhite[2]
	switch {
	case i.Kind != "process":
		return "", false
	case l < 35 && a*a+b*b < 400:
		return "black", true
	case b > 50:
		return "yellow", true
	case a > 30:
		return "magenta", true
	case b < -20:
		return "cyan", true
	}
	return "", false
}
