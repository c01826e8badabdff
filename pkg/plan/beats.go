package plan

import (
	"fmt"
	"math"
	"slices"

	"tamis/pkg/fabric"
)

// beats notes every plate's most visible moire, with the threads and with the dots of the plates it overprints, and
// warns of what is seen.
func (d *draft) beats(plates []fabric.Plate, at []int) {
	screen := func(n int) fabric.Screen {
		h := d.Doc.Plates[at[n]].Halftone
		return fabric.Screen{FreqLPI: h.LPI, AngleDeg: h.AngleDeg, Orders: plates[n].Orders}
	}
	onMesh, onOther := map[meshKey]fabric.Beat{}, map[float64]fabric.Beat{}
	for n, i := range at {
		p, s := &d.Doc.Plates[i], screen(n)
		key := meshKey{s.AngleDeg, plates[n].Mesh}
		worst, ok := onMesh[key]
		if !ok {
			worst = s.Worst(plates[n].Mesh, fabric.ViewMM)
			onMesh[key] = worst
		}
		p.Halftone.Beat = beatOf(worst)
		p.Why = append(p.Why, fmt.Sprintf("%.4g lpi at %.4g degrees: the most visible beat with the threads is %s",
			s.FreqLPI, s.AngleDeg, p.Halftone.Beat))
		if worst.Visibility > fabric.MoireLimit {
			d.warnMoire(p, plates[n].Mesh, plates)
		}
		d.texture(p, n, at, screen, onOther)
	}
}

// meshKey is what a plate's beat with the threads follows from, where all have one ruling and one dot.
type meshKey struct {
	angleDeg float64
	mesh     fabric.Mesh
}

// meeting is the least Overlap of plates whose dots are said to meet. Ours: a thousandth of the print.
const meeting = 0.001

// texture notes what the plate's dots and those of another plate at another angle make with one another, and with which
// of them. Plates at one angle have one lattice: they make a shift of colour, which their classes keep small, no beat.
func (d *draft) texture(p *Plate, n int, at []int, screen func(int) fabric.Screen, seen map[float64]fabric.Beat) {
	var worst fabric.Beat
	with := 0
	for m, j := range at {
		apart := math.Abs(math.Remainder(screen(m).AngleDeg-screen(n).AngleDeg, 90))
		if m == n || apart < 1e-9 || d.Recipe.Overlap(at[n], j) < meeting {
			continue
		}
		one, ok := seen[apart]
		if !ok {
			one = screen(n).WorstBetween(screen(m), fabric.ViewMM)
			seen[apart] = one
		}
		if one.Visibility > worst.Visibility+1e-9 {
			worst, with = one, d.Doc.Plates[j].N
		}
	}
	if with > 0 {
		p.Halftone.Texture = beatOf(worst)
		p.Halftone.Texture.Plate = with
		p.Why = append(p.Why, fmt.Sprintf("its dots and those of plate %d make a texture of %s", with, p.Halftone.Texture))
	}
}

// beatOf is a beat as a document shows it; a locked pair has no period one could hold.
func beatOf(b fabric.Beat) *Beat {
	return &Beat{PeriodMM: milli(min(b.PeriodMM, 1e6)), AngleDeg: tenth(b.AngleDeg), Visibility: fine(b.Visibility)}
}

// String says a beat in words.
func (b *Beat) String() string {
	if b.PeriodMM >= 1e6 {
		return fmt.Sprintf("%.1f %% of contrast, standing still", 100*b.Visibility)
	}
	return fmt.Sprintf("%.1f %% of contrast, every %.1f mm", 100*b.Visibility, b.PeriodMM)
}

// warnMoire warns of a beat with the threads that is seen. Where the order fixed ruling or angle the first says which ones
// show none; what was left to Tamis has been looked for.
func (d *draft) warnMoire(p *Plate, m fabric.Mesh, plates []fabric.Plate) {
	h := p.Halftone
	w := Warning{Code: "moire", Plate: p.N, Message: fmt.Sprintf(
		"plate %d: %.4g lpi at %.4g degrees beats with %g threads/cm: %s", p.N, h.LPI, h.AngleDeg, m.ThreadsPerCM, h.Beat)}
	asked := d.Input.Order.Halftone
	if (asked.LPI != nil || asked.AngleDeg != nil) &&
		!slices.ContainsFunc(d.Doc.Warnings, func(w Warning) bool { return w.Code == "moire" }) {
		better := fabric.Search(plates, fabric.Allowed{LPI: [2]float64{h.LPI * (1 - rulingGives), h.LPI},
			AngleDeg: [2]float64{0, 90}, Enough: fabric.MoireLimit, StepLPI: rulingStepLPI}, fabric.ViewMM)
		if better.Visibility <= fabric.MoireLimit {
			w.Remedy = fmt.Sprintf("%.4g lpi at %.4g degrees shows %.1f %%: ask for it, or leave ruling and angle to Tamis",
				better.LPI, better.AngleDeg, 100*better.Visibility)
		}
	}
	d.Doc.Warnings = append(d.Doc.Warnings, w)
}
