package plan_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tamis/pkg/fabric"
	"tamis/pkg/halftone"
	"tamis/pkg/plan"
)

// worstSeen is the visibility of a plan's most visible beat with the threads once all plates are turned.
func worstSeen(p *plan.Plan, orders fabric.Orders, turnDeg float64) float64 {
	worst := 0.0
	for _, q := range p.Doc.Plates {
		m := fabric.Mesh{ThreadsPerCM: q.Mesh.ThreadsPerCM, ThreadUM: q.Mesh.ThreadUM}
		s := fabric.Screen{FreqLPI: q.Halftone.LPI, AngleDeg: q.Halftone.AngleDeg + turnDeg, Orders: orders}
		worst = math.Max(worst, s.Worst(m, fabric.ViewMM).Visibility)
	}
	return worst
}

// TestNoTurnOfThePlatesShowsLessMoire turns all plates of a job together by every half degree that stays off 0, 45 and 90.
func TestNoTurnOfThePlatesShowsLessMoire(t *testing.T) {
	const alike = 0.0005 // of contrast
	orders := fabric.PlateOrders(halftone.DotRound)
	for _, extra := range []string{"", `,"separation":{"method":"process"}`, `,"mesh":{"threads_per_cm":61}`} {
		p := made(t, input(t, inspected(t, false), "#17181a", extra))
		own, told := worstSeen(p, orders, 0), 0.0
		for _, q := range p.Doc.Plates {
			told = math.Max(told, q.Halftone.Beat.Visibility)
			if why := strings.Join(q.Why, "; "); !strings.Contains(why, "the most visible beat with the threads is ") {
				t.Errorf("%s, plate %d does not say its beat: %s", extra, q.N, why)
			}
		}
		if math.Abs(told-own) > 1e-5 || own > fabric.MoireLimit || warned(p, "moire") != nil {
			t.Errorf("%s: the plan says %.5f, its screens have %.5f, limit %g", extra, told, own, fabric.MoireLimit)
		}
		var seen [182]float64 // at every half degree from -0.5 on
		for i := range seen {
			seen[i] = worstSeen(p, orders, float64(i-1)/2)
		}
		slipped := func(turn float64) float64 {
			i := int(2*turn) + 1
			return math.Max(seen[i], math.Max(seen[i-1], seen[i+1]))
		}
		for turn := 0.5; turn < 90; turn += 0.5 {
			free := true
			for _, q := range p.Doc.Plates {
				free = free && math.Abs(math.Remainder(q.Halftone.AngleDeg+turn, 45)) > 2
			}
			if free && slipped(turn) < slipped(0)-alike {
				t.Errorf("%s: %.4f as planned, %.4f turned by %g degrees", extra, slipped(0), slipped(turn), turn)
			}
		}
	}
}

// TestOverprintingPlatesStandThirtyDegreesApart: of the planned angles there are three, and the two plates that meet the most have not one.
func TestOverprintingPlatesStandThirtyDegreesApart(t *testing.T) {
	p := made(t, input(t, inspected(t, false), "#17181a", `,"separation":{"max_screens":6}`))
	angles, most, pair := map[float64]bool{}, 0.0, [2]int{}
	for i, q := range p.Doc.Plates {
		angles[q.Halftone.AngleDeg] = true
		for j := range i {
			if o := p.Recipe.Overlap(i, j); o > most {
				most, pair = o, [2]int{i, j}
			}
		}
	}
	a, b := p.Doc.Plates[pair[0]].Halftone, p.Doc.Plates[pair[1]].Halftone
	if apart := math.Abs(math.Remainder(a.AngleDeg-b.AngleDeg, 90)); len(angles) != 3 || math.Abs(apart-30) > 1e-9 {
		t.Errorf("angles %v; plates %v stand %g degrees apart", angles, pair, apart)
	}
	want := 25.4 / (a.LPI * 2 * math.Sin(math.Pi/12)) // the two lattices' first orders, 30 degrees apart
	if a.Texture == nil || math.Abs(a.Texture.PeriodMM/want-1) > 0.001 {
		t.Errorf("texture %+v, want every %.3f mm (2 f sin 15 degrees)", a.Texture, want)
	}
}

// TestARulingLeftToTamisGivesWayToAMoire: at 35 lpi no angle is free of a beat on 54 threads/cm; a ruling a little coarser is.
func TestARulingLeftToTamisGivesWayToAMoire(t *testing.T) {
	soft := inspected(t, false)
	free := made(t, input(t, soft, "#17181a", `,"mesh":{"threads_per_cm":54}`))
	fixed := made(t, input(t, soft, "#17181a", `,"mesh":{"threads_per_cm":54},"halftone":{"lpi":35}`))
	lpi := free.Doc.Plates[0].Halftone.LPI
	if lpi >= 35 || lpi < 31.5 || warned(free, "moire") != nil {
		t.Errorf("%g lpi: %+v", lpi, warned(free, "moire"))
	}
	w := warned(fixed, "moire")
	if w == nil || fixed.Doc.Plates[0].Halftone.LPI != 35 || !strings.Contains(w.Message, "54 threads/cm") {
		t.Fatalf("%+v", fixed.Doc.Warnings)
	}
	var better, angle, shown float64
	if _, err := fmt.Sscanf(w.Remedy, "%g lpi at %g degrees shows %g %%", &better, &angle, &shown); err != nil || shown > 2 {
		t.Fatalf("%q: %v", w.Remedy, err)
	}
	asked := made(t, input(t, soft, "#17181a", fmt.Sprintf(`,"mesh":{"threads_per_cm":54},"halftone":{"lpi":%g}`, better)))
	if got := asked.Doc.Plates[0].Halftone; warned(asked, "moire") != nil || math.Abs(got.AngleDeg-angle) > 30 {
		t.Errorf("%s: asked for, it still beats: %+v", w.Remedy, warned(asked, "moire"))
	}
}
