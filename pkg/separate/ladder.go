package separate

import (
	"tamis/pkg/fault"
	"tamis/pkg/ink"
)

// ladder finds, for 1 to n screens, a good subset of the inks, each rung by trying what it adds to the rung below.
type ladder struct {
	req        Request
	candidates []ink.Ink
	underbase  *ink.Ink // the white that may serve as underbase and highlight; nil: none
	targets    []target
	aims       []aim
	errors     func(c choice) []float64 // predicted CIEDE2000 of the targets under a choice
}

// choice is a subset of the candidates and whether the underbase and highlight print.
type choice struct {
	inks            []int
	base, highlight bool
}

// ladderTargets is how many colours stand for the artwork while subsets are tried.
const ladderTargets = 64

func (j *job) newLadder(candidates []ink.Ink, underbase *ink.Ink) *ladder {
	l := &ladder{req: j.req, candidates: candidates, underbase: underbase}
	l.targets = condensed(j.targets, ladderTargets)
	l.aims = make([]aim, len(l.targets))
	for i, t := range l.targets {
		l.aims[i] = newAim(t.lab)
	}
	l.errors = l.toneErrors
	return l
}

// layersOf puts a choice into press order.
func (l *ladder) layersOf(c choice) layers {
	colors := make([]ink.Ink, len(c.inks))
	for i, k := range c.inks {
		colors[i] = l.candidates[k]
	}
	var base, high *ink.Ink
	if c.base {
		base = l.underbase
	}
	if c.highlight {
		high = l.underbase
	}
	return arrange(colors, base, high)
}

// toneErrors predicts the targets' errors of a choice printed in tones.
func (l *ladder) toneErrors(c choice) []float64 {
	ly := l.layersOf(c)
	stack := ly.stack(l.req)
	s := newSolver(stack, ly.cost, ly.base)
	cov := make([]float64, stack.Len())
	errs := make([]float64, len(l.targets))
	for i := range l.targets {
		s.solve(&l.aims[i], cov)
		errs[i] = errorOf(stack, cov, l.targets[i].lab)
	}
	return errs
}

// climb gives the rungs from one screen (or two where an underbase must print) to n, and the choice of each.
func (l *ladder) climb(n int) (rungs []Rung, choices []choice) {
	now := choice{base: l.req.Underbase == UnderbaseOn && l.underbase != nil}
	for {
		next, ok := l.bestStep(now)
		if !ok {
			return rungs, choices
		}
		now = next
		ly := l.layersOf(now)
		if len(ly.inks) > n {
			return rungs, choices
		}
		mean, p95 := match(l.targets, l.errors(now))
		r := Rung{Screens: len(ly.inks), MeanE00: mean, P95E00: p95, InkIDs: ly.ids()}
		if k := len(rungs); k > 0 && rungs[k-1].MeanE00 <= mean {
			return rungs, choices
		}
		rungs, choices = append(rungs, r), append(choices, now)
	}
}

// bestStep tries every screen that could be added and gives the best.
func (l *ladder) bestStep(now choice) (best choice, found bool) {
	trials := l.steps(now)
	scores := make([]float64, len(trials))
	inParallel(len(trials), func(i int) { scores[i], _ = match(l.targets, l.errors(trials[i])) })
	least := 0
	for i := range trials {
		if scores[i] < scores[least] {
			least = i
		}
	}
	if len(trials) == 0 {
		return choice{}, false
	}
	return trials[least], true
}

// knee is the last rung that gains what a screen is worth.
func knee(rungs []Rung) int {
	at := len(rungs) - 1
	for at > 0 && rungs[at-1].MeanE00-rungs[at].MeanE00 < kneeE00 {
		at--
	}
	return at
}

func tooFewScreens(n int) error {
	return fault.Invalidf("/separation/max_screens", "max_screens_range", "%d screens cannot hold the underbase and a colour", n)
}

// steps lists the choices with one screen more.
func (l *ladder) steps(now choice) []choice {
	var list []choice
	for k := range l.candidates {
		if !contains(now.inks, k) {
			list = append(list, choice{append(append([]int{}, now.inks...), k), now.base, now.highlight})
		}
	}
	if l.underbase != nil && l.req.Underbase != UnderbaseOff {
		if !now.base {
			list = append(list, choice{now.inks, true, now.highlight})
		} else if !now.highlight {
			list = append(list, choice{now.inks, true, true})
		}
	}
	return list
}

func contains(list []int, v int) bool {
	for _, x := range list {
		if x == v {
			return true
		}
	}
	return false
}
