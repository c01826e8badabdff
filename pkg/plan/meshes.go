package plan

import (
	"fmt"
	"strings"

	"tamis/pkg/fabric"
	"tamis/pkg/fault"
	"tamis/pkg/halftone"
	"tamis/pkg/ink"
)

// meshes picks a mesh for every plate, then the angles that these meshes show least, then builds the screens.
func (d *draft) meshes() error {
	picked := make([]fabric.Mesh, len(d.Doc.Plates))
	for i := range d.Doc.Plates {
		p := &d.Doc.Plates[i]
		best := fabric.Rank(d.fabrics(), d.need(*p, d.Recipe.Plates[i].Ink))
		if len(best) == 0 {
			return fault.Invalidf("/mesh", "no_mesh", "the shop has no mesh")
		}
		picked[i] = best[0].Mesh
		d.takeMesh(p, best[0])
	}
	d.angles(picked)
	built := map[halftone.Spec]*halftone.Screen{}
	for i := range d.Doc.Plates {
		screen, err := d.screen(&d.Doc.Plates[i], picked[i], built)
		if err != nil {
			return err
		}
		d.Screens = append(d.Screens, screen)
	}
	return nil
}

func (d *draft) need(p Plate, one ink.Ink) fabric.Need {
	role := fabric.Role(p.Role)
	switch {
	case p.Halftone == nil:
		return fabric.Need{Role: role, MaxParticleUM: one.MaxParticleUM}
	case p.Halftone.LPI > 0:
		return halftoneNeed(role, p.Halftone.LPI, one.MaxParticleUM)
	}
	return fabric.Need{Role: role, FreqLPI: 25400 / (2 * p.Halftone.DotUM), MinDotUM: p.Halftone.DotUM,
		MaxParticleUM: one.MaxParticleUM}
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

// screen builds the plate's screen, once for plates that share it.
func (d *draft) screen(p *Plate, m fabric.Mesh, built map[halftone.Spec]*halftone.Screen) (*halftone.Screen, error) {
	h := p.Halftone
	if h == nil {
		return nil, nil
	}
	h.SmallestTone = fine(smallestTone(m.PitchUM(), h.LPI))
	limit := halftone.Limit(d.Input.Order.Halftone.Highlights)
	spec := d.Layout.ScreenSpec(halftone.Spec{Kind: halftone.Kind(h.Kind), FreqLPI: h.LPI, AngleDeg: h.AngleDeg,
		Dot: halftone.Dot(h.Dot), DotUM: h.DotUM, MinDot: h.SmallestTone, MinGap: h.SmallestTone, Highlights: limit,
		Shadows: limit})
	screen, ok := built[spec]
	if !ok {
		made, err := halftone.New(spec)
		if err != nil {
			return nil, err
		}
		screen = made.WithCurve(d.curve)
		built[spec] = screen
	}
	h.ActualLPI = milli(screen.ActualLPI)
	h.ActualAngleDeg = milli(screen.ActualAngleDeg - (spec.AngleDeg - h.AngleDeg))
	return screen, nil
}
