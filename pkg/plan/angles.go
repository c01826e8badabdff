package plan

import (
	"math"

	"tamis/pkg/fabric"
	"tamis/pkg/halftone"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
)

// classes is how many angles 30 degrees apart a quarter turn holds: closer ones show a beat of their own.
//
// Source: Amidror, Hersch and Ostromoukhov 1994 for the 30 degrees.
const classes = 3

// rulingGives is how much of a ruling that Tamis picked may be given up to be rid of a moire. Ours: a tenth is not seen
// in the print, and moves every beat.
const rulingGives = 0.1

// rulingStepLPI is from ruling to ruling on the way. Ours: a quote waits for it, and every step moves the beats.
const rulingStepLPI = 1

// processTurns set the strong process inks 30 degrees apart and yellow between two. Practice: which ink takes which.
var processTurns = map[string]float64{"cyan": 0, "magenta": 60, "yellow": -15, "black": 30}

// angles settles ruling and angle of every plate with a ruling: the order's; else the finest ruling at which some angle
// shows no moire on any plate's mesh, or shows it least. Plates stand apart by their turns.
func (d *draft) angles(meshes []fabric.Mesh) {
	plates, at := d.searched(meshes)
	if len(plates) == 0 {
		return
	}
	first := d.Doc.Plates[at[0]].Halftone
	found := fabric.Search(plates, d.allowed(first.LPI), fabric.ViewMM)
	d.lpi = found.LPI
	for n, i := range at {
		h := d.Doc.Plates[i].Halftone
		h.LPI, h.AngleDeg = found.LPI, found.AngleDeg+plates[n].TurnDeg
		if d.Input.Order.Halftone.AngleDeg == nil { // 100 degrees are 10 to a printer, where the dots are alike
			turn := halftone.Dot(h.Dot).TurnDeg()
			h.AngleDeg = math.Mod(h.AngleDeg+360, turn)
		}
	}
	d.beats(plates, at)
}

// searched are the plates with a ruling, as a search of angles sees them, and where they stand among the plan's.
func (d *draft) searched(meshes []fabric.Mesh) (plates []fabric.Plate, at []int) {
	class := d.classes()
	var orders fabric.Orders
	for i, p := range d.Doc.Plates {
		if p.Halftone == nil || p.Halftone.LPI == 0 {
			continue
		}
		if len(at) == 0 {
			orders = fabric.PlateOrders(halftone.Dot(p.Halftone.Dot)) // the order has one dot for all
		}
		turn := 30 * float64(class[i])
		if d.Recipe.Method == separate.Process {
			turn = d.processTurn(p, turn)
		}
		if d.Input.Order.Halftone.AngleDeg != nil {
			turn = 0
		}
		plates, at = append(plates, fabric.Plate{Orders: orders, Mesh: meshes[i], TurnDeg: turn}), append(at, i)
	}
	return plates, at
}

// allowed is what a search may try: what the order leaves open.
func (d *draft) allowed(lpi float64) fabric.Allowed {
	a := fabric.Allowed{LPI: [2]float64{lpi * (1 - rulingGives), lpi}, AngleDeg: [2]float64{0, 90},
		Enough: fabric.MoireLimit, StepLPI: rulingStepLPI}
	if d.Input.Order.Halftone.LPI != nil {
		a.LPI[0] = lpi
	}
	if asked := d.Input.Order.Halftone.AngleDeg; asked != nil {
		a.AngleDeg = [2]float64{*asked, *asked}
	}
	return a
}

// classes gives every halftone plate one of three angles such that plates of one angle overprint the least: the best
// of all ways, the first of equals. Other plates get 0.
//
// Ours: dots of two inks at one angle lie on one another or beside one another as the register falls, and the print
// model, which lets them fall at random, is off by 2 to 9 CIEDE2000; inks that never meet may share an angle.
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

// processTurn is the turn of a process ink, known by its hue; another ink keeps its own.
func (d *draft) processTurn(p Plate, own float64) float64 {
	for _, one := range d.Input.Shop.Inks.Inks {
		if name, ok := processName(one); ok && one.ID == p.Ink.ID {
			return processTurns[name]
		}
	}
	return own
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
