package plan

import (
	"fmt"
	"math"
	"strings"

	"tamis/pkg/fabric"
	"tamis/pkg/fault"
	"tamis/pkg/halftone"
	"tamis/pkg/ink"
)

// meshes picks a mesh for every plate, then the ruling and the angles that these meshes show least, then settles the
// screens.
func (d *draft) meshes() error {
	picked := make([]fabric.Mesh, len(d.Doc.Plates))
	for i, p := range d.Doc.Plates {
		best := fabric.Rank(d.fabrics(), d.need(p, d.Recipe.Plates[i].Ink))
		if len(best) == 0 {
			return fault.Invalidf("/mesh", "no_mesh", "the shop has no mesh")
		}
		picked[i] = best[0].Mesh
	}
	d.angles(picked)
	for i := range d.Doc.Plates {
		p := &d.Doc.Plates[i]
		d.takeMesh(p, fabric.Rank(picked[i:i+1], d.need(*p, d.Recipe.Plates[i].Ink))[0])
	}
	found := map[halftone.Spec][2]float64{}
	for i := range d.Doc.Plates {
		spec, err := d.specify(&d.Doc.Plates[i], picked[i], found)
		if err != nil {
			return err
		}
		d.Specs = append(d.Specs, spec)
	}
	return nil
}

func (d *draft) need(p Plate, one ink.Ink) fabric.Need {
	role := fabric.Role(p.Role)
	switch {
	case p.Halftone == nil:
		return fabric.Need{Role: role, MaxParticleUM: one.MaxParticleUM}
	case p.Halftone.LPI > 0:
		need := halftoneNeed(role, p.Halftone.LPI, one.MaxParticleUM)
		if dot := p.Halftone.DotUM; dot > 0 { // the order's own least dot
			need.MinDotUM = dot
		}
		return need
	}
	return fabric.Need{Role: role, MinDotUM: max(p.Halftone.DotUM, p.Halftone.ClusterUM),
		MaxParticleUM: one.MaxParticleUM} // scattered dots have no ruling
}

// takeMesh writes the pick into the plate, and a warning for what it does not meet.
func (d *draft) takeMesh(p *Plate, pick fabric.Pick) {
	m := pick.Mesh
	p.Mesh = Mesh{ThreadsPerCM: m.ThreadsPerCM, ThreadUM: m.ThreadUM, TPI: tenth(m.TPI()), OpeningUM: tenth(m.OpeningUM()),
		InkVolume: tenth(m.InkVolumeCM3M2()), Color: colorOf(m)}
	var broken []string
	for _, c := range pick.Constraints {
		p.Why = append(p.Why, c.Why)
		if !c.OK {
			broken = append(broken, c.Why)
		}
	}
	if len(broken) > 0 {
		d.warn(p.N, "mesh_does_not_fit", fmt.Sprintf("plate %d on %g threads/cm: %s", p.N, m.ThreadsPerCM,
			strings.Join(broken, "; ")))
	}
}

func tenth(x float64) float64 { return float64(int(x*10+0.5)) / 10 }

func colorOf(m fabric.Mesh) string {
	if m.Yellow {
		return "yellow"
	}
	return "white"
}

// specify settles the plate's screen and notes what ruling and angle the device's pixels give it. found remembers
// those of plates that share a screen.
func (d *draft) specify(p *Plate, m fabric.Mesh, found map[halftone.Spec][2]float64) (*halftone.Spec, error) {
	h := p.Halftone
	if h == nil {
		return nil, nil
	}
	spec, err := d.spec(h, m)
	if err != nil {
		return nil, err
	}
	actual, ok := found[spec]
	if !ok {
		lpi, angle, err := halftone.Actual(spec)
		if err != nil {
			return nil, err
		}
		actual = [2]float64{lpi, angle}
		found[spec] = actual
	}
	if h.Kind == string(halftone.FM) && h.ClusterUM == 0 {
		x, y := halftone.ActualDot(spec)
		h.ActualDotUM = tenth(min(x, y))
	}
	h.ActualLPI = milli(actual[0])
	h.ActualAngleDeg = milli(actual[1] - (spec.AngleDeg - h.AngleDeg))
	return &spec, nil
}

// spec is the screen of a halftone on a mesh, whose threads set its least dot.
func (d *draft) spec(h *Halftone, m fabric.Mesh) (halftone.Spec, error) {
	h.SmallestTone = fine(smallestTone(m.PitchUM(), h.LPI))
	if h.Kind == string(halftone.Hybrid) {
		if h.DotUM == 0 {
			h.DotUM = math.Ceil(m.PitchUM()/5) * 5
		}
		h.SmallestTone = 0 // its least dots thin out in number: every tone prints
	}
	mix, err := d.Input.Order.Halftone.DotMix()
	limit := halftone.Limit(d.Input.Order.Halftone.Highlights)
	return d.Layout.ScreenSpec(halftone.Spec{Kind: halftone.Kind(h.Kind), FreqLPI: h.LPI, AngleDeg: h.AngleDeg,
		Dot: halftone.Dot(h.Dot), Mix: mix, DotUM: h.DotUM, ClusterUM: h.ClusterUM, MinDot: h.SmallestTone,
		MinGap: h.SmallestTone, Highlights: limit, Shadows: limit}), err
}
