package separate

import (
	"sort"

	"tamis/pkg/ink"
)

// layers is a choice of inks in press order, with what the solver needs to know of them.
type layers struct {
	inks  []ink.Ink
	roles []Role
	cost  []float64
	base  int // index of the underbase, -1 none
}

// arrange puts inks into press order: underbase, then light to dark, blacks after them, highlight white last.
//
// Practice: light to dark keeps dark ink off the screens of light ones; black late sharpens; a highlight goes over all.
func arrange(colors []ink.Ink, underbase, highlight *ink.Ink) layers {
	l := layers{base: -1}
	if underbase != nil {
		l.base = 0
		l.add(*underbase, Underbase, costUnderbase)
	}
	sorted := append([]ink.Ink{}, colors...)
	sort.SliceStable(sorted, func(i, j int) bool { return before(sorted[i], sorted[j]) })
	for _, in := range sorted {
		role := Color
		if in.IsBlack() {
			role = Black
		}
		l.add(in, role, costInk)
	}
	if highlight != nil {
		l.add(*highlight, Highlight, costInk)
	}
	return l
}

func before(a, b ink.Ink) bool {
	if a.IsBlack() != b.IsBlack() {
		return b.IsBlack()
	}
	return a.OverWhite.L > b.OverWhite.L
}

func (l *layers) add(in ink.Ink, role Role, cost float64) {
	l.inks, l.roles, l.cost = append(l.inks, in), append(l.roles, role), append(l.cost, cost)
}

func (l *layers) stack(req Request) *ink.Stack { return ink.NewStack(l.inks, req.Cards, req.Ground) }

// plates makes the plates of the layers, without coverage.
func (l *layers) plates(rendering Rendering, nearest bool) []Plate {
	list := make([]Plate, len(l.inks))
	for i, in := range l.inks {
		list[i] = Plate{Ink: in, Role: l.roles[i], Rendering: rendering, Nearest: nearest}
	}
	return list
}

// ids names the inks in press order; an ink printed twice is named twice.
func (l *layers) ids() []string {
	list := make([]string, len(l.inks))
	for i, in := range l.inks {
		list[i] = in.ID
	}
	return list
}

// whiteInk is the best underbase among inks: the lightest over black; nil where none is white.
func whiteInk(inks []ink.Ink) *ink.Ink {
	var best *ink.Ink
	for i := range inks {
		if inks[i].IsWhite() && (best == nil || inks[i].OverBlack.L > best.OverBlack.L) {
			best = &inks[i]
		}
	}
	return best
}

// darkOverprint is the lightness asked for, at the least, where no single layer is darker: overprints of strong
// colours reach about it.
const darkOverprint = 16

// darkest is the lowest lightness of the bare garment, of each solid alone on it, and darkOverprint.
func darkest(stack *ink.Stack) float64 {
	cov := make([]float64, stack.Len())
	least := min(darkOverprint, stack.Predict(cov).L)
	for i := range cov {
		cov[i] = 1
		least = min(least, stack.Predict(cov).L)
		cov[i] = 0
	}
	return least
}
