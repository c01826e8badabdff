package plan

import (
	"math"
	"slices"

	"tamis/pkg/fabric"
	"tamis/pkg/fault"
	"tamis/pkg/halftone"
	"tamis/pkg/separate"
)

// rulings are what Tamis picks from where the order leaves it open, finest first. Practice: 45 to 55 lpi is usual on
// garments, 35 for coarse mesh.
var rulings = []float64{55, 50, 45, 40, 35, 30}

// pixelsPerLine is the least device resolution for a ruling Tamis picks. Ours: 16 device pixels a line keep a dot's edge
// within a sixteenth of its cell; the caller may ask for less.
const pixelsPerLine = 16

// screening settles kind and ruling of every halftone plate; line plates and square-dot plates get none.
func (d *draft) screening() error {
	for i := range d.Doc.Plates {
		p := &d.Doc.Plates[i]
		if p.Rendering != string(separate.Halftone) {
			continue
		}
		p.Halftone = d.halftone()
	}
	return d.checkRuling()
}

// pickedKind is the screen where the order names none. Ours: dots on a grid whose least ones thin out in number print
// every tone; where they are left out under a size, fades into the garment end in an edge.
const pickedKind = halftone.Hybrid

// halftone is the screening of one halftone plate. A hybrid's least dot waits for the plate's mesh, unless the order
// names it.
func (d *draft) halftone() *Halftone {
	h := d.Input.Order.Halftone
	one := &Halftone{Kind: h.Kind, Dot: h.Dot}
	if one.Kind == "" {
		one.Kind = string(pickedKind)
	}
	switch {
	case h.ClusterUM != nil:
		one.ClusterUM = *h.ClusterUM
	case h.DotUM != nil || one.Kind == string(halftone.FM):
		one.DotUM = d.dotUM()
	}
	if one.Kind == string(halftone.FM) {
		one.Dot = ""
		return one
	}
	one.LPI = d.ruling()
	return one
}

// ruling is the order's, or the finest one that some mesh of the shop and the device's pixels carry.
func (d *draft) ruling() float64 {
	if lpi := d.Input.Order.Halftone.LPI; lpi != nil {
		return *lpi
	}
	pixels := math.Min(d.device.XDPI, d.device.YDPI)
	for _, lpi := range rulings {
		if lpi*pixelsPerLine > pixels {
			continue
		}
		if slices.ContainsFunc(fabric.Rank(d.fabrics(), halftoneNeed(fabric.Colour, lpi, 0)), fabric.Pick.Carries) {
			return lpi
		}
	}
	return rulings[len(rulings)-1]
}

// checkRuling refuses a ruling no mesh of the shop carries even at two threads a line.
func (d *draft) checkRuling() error {
	lpi := d.Input.Order.Halftone.LPI
	if lpi == nil {
		return nil
	}
	finest := 0.0
	for _, m := range d.fabrics() {
		finest = math.Max(finest, m.ThreadsPerCM)
	}
	if need := 2 * *lpi / 2.54; need > finest {
		return fault.Invalidf("/halftone/lpi", "lpi_too_fine",
			"%g lpi needs %.0f threads/cm or more; the finest mesh here has %g", *lpi, math.Ceil(need), finest)
	}
	return nil
}

// dotUM is the dot of FM screens: the order's, or the smallest, in steps of 10 um, for which the shop has a mesh for every
// plate; where it has none for any, what the finest mesh holds.
func (d *draft) dotUM() float64 {
	if um := d.Input.Order.Halftone.DotUM; um != nil {
		return *um
	}
	finest, coarsest := math.Inf(1), 0.0
	for _, m := range d.fabrics() {
		finest, coarsest = math.Min(finest, m.SmallestDotUM()), math.Max(coarsest, m.SmallestDotUM())
	}
	least := math.Ceil(finest/10) * 10
	for um := least; um <= coarsest; um += 10 {
		if d.holds(um) {
			return um
		}
	}
	return least
}

// holds tells whether the shop has a mesh that suits every halftone plate at scattered dots of this size.
func (d *draft) holds(dotUM float64) bool {
	return !slices.ContainsFunc(d.Doc.Plates, func(p Plate) bool {
		return p.Rendering == string(separate.Halftone) &&
			!fabric.Rank(d.fabrics(), fabric.Need{Role: fabric.Role(p.Role), MinDotUM: dotUM})[0].Fits()
	})
}

// fabrics are the meshes a plate may be put on: the pinned one, or the catalogue.
func (d *draft) fabrics() []fabric.Mesh {
	all := d.Input.Shop.Meshes.Trade()
	if d.pinned == nil {
		return all
	}
	for i, m := range d.Input.Shop.Meshes.Meshes {
		if m == *d.pinned {
			return all[i : i+1]
		}
	}
	return nil
}

// lowTone is the tint a mesh must still hold for a halftone to be worth it. Practice: a 10 % dot.
const lowTone = 0.10

// halftoneNeed is what a halftone plate asks of a mesh. The round dot of tone a has diameter T sqrt(4 a / pi).
func halftoneNeed(role fabric.Role, lpi, particleUM float64) fabric.Need {
	cellUM := 25400 / lpi
	return fabric.Need{Role: role, FreqLPI: lpi, MinDotUM: cellUM * math.Sqrt(4*lowTone/math.Pi),
		MaxParticleUM: particleUM}
}

// smallestTone is the area of the smallest dot that still prints at a ruling, 0..0.5: one that spans a thread and an
// opening. Practice: dots under 3 to 5 % are lost; this gives 3.7 % at 55 lpi on 100 threads/cm.
func smallestTone(dotUM, lpi float64) float64 {
	if lpi == 0 {
		return 0
	}
	r := dotUM / (25400 / lpi)
	return math.Min(0.5, math.Pi/4*r*r)
}
