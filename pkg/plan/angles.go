package plan

import (
	"fmt"
	"math"

	"tamis/pkg/fabric"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
)

// turns are the first of three angles 30 degrees apart that are tried, the best seen first. Practice: 22.5 degrees is
// the weavers' film angle for straight mesh; none of the nine comes near 0, 45 and 90, where halftone and threads lock.
var turns = []float64{22.5, 7.5, 17.5, 12.5}

// classes is how many angles 30 degrees apart a quarter turn holds: closer ones show a beat of their own.
//
// Source: Amidror, Hersch and Ostromoukhov 1994 for the 30 degrees.
const classes = 3

// processAngles sets the strong process inks 30 degrees apart and yellow between two. Practice: which ink takes which.
var processAngles = map[string]float64{"cyan": 22.5, "magenta": 82.5, "yellow": 7.5, "black": 52.5}

// angles settles the angle of every plate with a ruling: the order's; the process set; or one of three, 30 degrees
// apart, so that inks which overprint lie apart.
//
// Ours: dots of two inks at one angle lie on one another or beside one another as the register falls, and the print
// model, which lets them fall at random, is off by 2 to 9 CIEDE2000; inks that never meet may share an angle.
func (d *draft) angles(meshes []fabric.Mesh) {
	class := d.classes()
	turn := d.turn(class, meshes)
	for i := range d.Doc.Plates {
		p := &d.Doc.Plates[i]
		if p.Halftone == nil || p.Halftone.LPI == 0 {
			continue
		}
		p.Halftone.AngleDeg = turn + 30*float64(class[i])
		if asked := d.Input.Order.Halftone.AngleDeg; asked != nil {
			p.Halftone.AngleDeg = *asked
		} else if d.Recipe.Method == separate.Process {
			d.processAngle(p)
		}
		d.beat(p, meshes[i])
	}
}

// classes gives every halftone plate one of three angles such that plates of one angle overprint the least: the best
// of all ways, the first of equals. Other plates get 0.
func (d *draft) classes() []int {
	var plates []int
	for i, p := range d.Doc.Plates {
		if p.Halftone != nil && p.Halftone.LPI > 0 {
			plates = append(plates, i)
		}
	}
	class, best := make([]int, len(d.Doc.Plates)), make([]int, len(d.Doc.Plates))
	least := math.Inf(1)
	var try func(n, used int, shared float64)
	try = func(n, used int, shared float64) {
		if shared >= least {
			return
		}
		if n == len(plates) {
			least = shared
			copy(best, class)
			return
		}
		for c := range min(used+1, classes) { // which class is which makes no difference
			class[plates[n]] = c
			more := 0.0
			for _, other := range plates[:n] {
				if class[other] == c {
					more += d.Recipe.Overlap(plates[n], other)
				}
			}
			try(n+1, max(used, c+1), shared+more)
		}
	}
	try(0, 0, 0)
	return best
}

// turn is the first angle of the three whose worst beat over all the plates' meshes is the least visible.
func (d *draft) turn(class []int, meshes []fabric.Mesh) float64 {
	best, least := turns[0], math.Inf(1)
	for _, turn := range turns {
		worst := 0.0
		for i, p := range d.Doc.Plates {
			if p.Halftone != nil && p.Halftone.LPI > 0 {
				angle := turn + 30*float64(class[i])
				worst = math.Max(worst, d.worstBeat(p.Halftone.LPI, angle, meshes[i]).Visibility)
			}
		}
		if worst < least-1e-12 {
			best, least = turn, worst
		}
	}
	return best
}

// beatKey is what a beat follows from.
type beatKey struct {
	freqLPI, angleDeg float64
	mesh              fabric.Mesh
}

// worstBeat is the most visible beat of a halftone on a mesh; plates share most of them.
func (d *draft) worstBeat(freqLPI, angleDeg float64, m fabric.Mesh) fabric.Beat {
	key := beatKey{freqLPI, angleDeg, m}
	worst, ok := d.beats[key]
	if !ok {
		worst = fabric.Beats(freqLPI, angleDeg, m, 1)[0]
		d.beats[key] = worst
	}
	return worst
}

// A beat is worth a warning when it is coarser than the halftone's texture and of a plain amplitude. Ours: 2 mm is four
// cells of 55 lpi; 0.03 is a third of the amplitude of a locked fourth order.
const (
	coarseBeatMM = 2
	plainBeat    = 0.03
)

// beat notes the plate's most visible moire, and warns of a coarse one.
func (d *draft) beat(p *Plate, m fabric.Mesh) {
	worst := d.worstBeat(p.Halftone.LPI, p.Halftone.AngleDeg, m)
	period := min(worst.PeriodMM, 1e6) // a locked pair has no period a document could hold
	p.Halftone.Beat = &Beat{PeriodMM: milli(period), AngleDeg: tenth(worst.AngleDeg), Visibility: fine(worst.Visibility)}
	if period > coarseBeatMM && worst.Visibility > plainBeat {
		d.warn(p.N, "moire", fmt.Sprintf("plate %d: %g lpi at %g degrees beats with %g threads/cm every %.1f mm", p.N,
			p.Halftone.LPI, p.Halftone.AngleDeg, m.ThreadsPerCM, period))
	}
}

// processAngle sets the fixed angle of a process ink, known by its hue; another ink keeps its own.
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
