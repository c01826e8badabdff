package plan

import (
	"fmt"
	"strings"

	"tamis/pkg/fabric"
	"tamis/pkg/fault"
	"tamis/pkg/halftone"
	"tamis/pkg/ink"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
)

// meshes picks a mesh for every plate, then the angle that this mesh shows least, then builds the screen.
func (d *draft) meshes() error {
	built := map[halftone.Spec]*halftone.Screen{}
	for i := range d.Doc.Plates {
		p, one := &d.Doc.Plates[i], d.Recipe.Plates[i].Ink
		best := fabric.Rank(d.fabrics(), d.need(*p, one))
		if len(best) == 0 {
			return fault.Invalidf("/mesh", "no_mesh", "the shop has no mesh")
		}
		d.takeMesh(p, best[0])
		screen, err := d.screen(p, best[0].Mesh, built)
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

// screen settles the angle and builds the plate's screen, once for plates that share it.
func (d *draft) screen(p *Plate, m fabric.Mesh, built map[halftone.Spec]*halftone.Screen) (*halftone.Screen, error) {
	h := p.Halftone
	if h == nil {
		return nil, nil
	}
	if h.LPI > 0 {
		d.angle(p, m)
		h.SmallestTone = fine(smallestTone(m.SmallestDotUM(), h.LPI))
	}
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

// angle takes the order's angle, the process set, or the angle whose worst beat on this mesh is the least visible.
func (d *draft) angle(p *Plate, m fabric.Mesh) {
	asked := d.Input.Order.Halftone.AngleDeg
	switch {
	case asked != nil:
		p.Halftone.AngleDeg = *asked
	case d.Recipe.Method == separate.Process && d.processAngle(p):
	default:
		p.Halftone.AngleDeg, _ = fabric.BestAngle(p.Halftone.LPI, m, halftoneAngles)
	}
	beat := fabric.Beats(p.Halftone.LPI, p.Halftone.AngleDeg, m, 1)[0]
	p.Halftone.Beat = &Beat{PeriodMM: milli(min(beat.PeriodMM, 1e6)), AngleDeg: tenth(beat.AngleDeg),
		Visibility: fine(beat.Visibility)}
	if beat.PeriodMM > coarseBeatMM && beat.Visibility > plainBeat {
		d.warn(p.N, "moire", fmt.Sprintf("plate %d: %g lpi at %g degrees beats with %g threads/cm every %.1f mm", p.N,
			p.Halftone.LPI, p.Halftone.AngleDeg, m.ThreadsPerCM, min(beat.PeriodMM, 1e6)))
	}
}

// A beat is worth a warning when it is coarser than the halftone's texture and of a plain amplitude. Ours: 2 mm is four
// cells of 55 lpi; 0.03 is a third of the amplitude of a locked fourth order.
const (
	coarseBeatMM = 2
	plainBeat    = 0.03
)

// processAngle sets the fixed angle of a process ink, known by its hue; false for another ink.
func (d *draft) processAngle(p *Plate) bool {
	for _, one := range d.Input.Shop.Inks.Inks {
		if one.ID == p.Ink.ID {
			name, ok := processName(one)
			p.Halftone.AngleDeg = processAngles[name]
			return ok
		}
	}
	return false
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
