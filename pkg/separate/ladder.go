package separate

import (
	"math"
	"slices"
	"sync"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/ink"
)

// ladder finds, for 1 to n screens, a good subset of the inks, each rung by trying what it adds to the rung below.
type ladder struct {
	req        Request
	candidates []ink.Ink
	rendering  Rendering // of the plates
	underbase  *ink.Ink  // the white that may serve as underbase and highlight; nil: none
	search     []target  // what subsets are tried on
	report     []target  // what the rungs' figures are taken on
	inked      float64   // share of the print box that the artwork inks

	try func(c choice, on []target, hopeless func(i int, err float64) bool) trial
}

// trial is what a choice of inks is predicted to give: the CIEDE2000 of each target, and each layer's coverage there,
// [target][layer].
type trial struct{ errs, coverage []float64 }

// choice is a subset of the candidates and whether the underbase and highlight print.
type choice struct {
	inks            []int
	base, highlight bool
}

// How many colours stand for the artwork while subsets are tried, and when a rung's figures are taken.
const (
	searchColors = 80
	reportColors = 500
)

func (j *job) newLadder(candidates []ink.Ink, underbase *ink.Ink) *ladder {
	l := &ladder{req: j.req, candidates: candidates, underbase: underbase, rendering: Halftone,
		inked: 1 - j.insp.Digest.Transparent}
	l.search, l.report = condensed(j.targets, searchColors), condensed(j.targets, reportColors)
	l.try = l.tryTones
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

// tryTones predicts a choice printed in tones. It gives up where hopeless, told the error of each target in turn, says so;
// nil never does.
func (l *ladder) tryTones(c choice, on []target, hopeless func(i int, err float64) bool) trial {
	ly := l.layersOf(c)
	stack := ly.stack(l.req)
	s := newSolver(stack, ly.cost, ly.base)
	cov := make([]float64, stack.Len())
	out, darkestL := trial{make([]float64, len(on)), make([]float64, 0, len(on)*len(cov))}, darkest(stack)
	for i, t := range on {
		a := newAim(t.lab, darkestL)
		s.solve(&a, cov, len(on) > searchColors) // a figure that is reported is worth more starts
		out.errs[i] = errorOf(stack, cov, t.lab)
		if hopeless != nil && hopeless(i, out.errs[i]) {
			break
		}
		out.coverage = append(out.coverage, cov...)
	}
	return out
}

// idleE00 ends the climb: a screen that gains less in mean CIEDE2000 will not be bought by anyone.
const idleE00 = 0.05

// climb gives the rungs from one screen (or two where an underbase must print) to n, and the choice of each. A rung
// is never worse than the one below: a screen that does not help ends the climb.
func (l *ladder) climb(n int) (rungs []Rung, choices []choice) {
	now, before := choice{base: l.req.Underbase == UnderbaseOn && l.underbase != nil}, math.Inf(1)
	for {
		next, mean := l.best(l.steps(now), before)
		for range exchangeRounds {
			swapped, m := l.best(l.swaps(next), mean)
			if m >= mean {
				break
			}
			next, mean = swapped, m
		}
		if before-mean < idleE00 || l.screens(next) > n {
			break
		}
		choices = append(choices, next)
		now, before = next, mean
	}
	return l.busy(l.rungs(choices), choices)
}

// EmptyPlate is the coverage, as a share of what the artwork inks of the print box, under which a plate is not worth
// its screen. Ours: a twentieth of a percent.
const EmptyPlate = 0.0005

// busy takes screens that would print next to nothing out of the rungs, and leaves of those with as many screens the
// best, and of all only such as gain something on the one below.
func (l *ladder) busy(rungs []Rung, choices []choice) ([]Rung, []choice) {
	best := make([]int, MaxScreens+3) // by screens: the number of the rung, counted from 1
	for i := range rungs {
		rungs[i], choices[i] = l.stripped(rungs[i], choices[i])
		if at := &best[rungs[i].Screens]; *at == 0 || rungs[i].MeanE00 < rungs[*at-1].MeanE00 {
			*at = i + 1
		}
	}
	var kept []Rung
	var of []choice
	for _, i := range best {
		if i > 0 && (len(kept) == 0 || rungs[i-1].MeanE00 < kept[len(kept)-1].MeanE00) {
			kept, of = append(kept, rungs[i-1]), append(of, choices[i-1])
		}
	}
	for i := 1; i < len(kept); i++ {
		kept[i].P95E00 = min(kept[i].P95E00, kept[i-1].P95E00)
	}
	return kept, of
}

// stripped is a rung without its empty plates; its figures stay as they are, since those printed nothing.
func (l *ladder) stripped(r Rung, c choice) (Rung, choice) {
	for k := l.emptyOf(r.Plates); k >= 0 && l.mayGo(r.Plates, k); k = l.emptyOf(r.Plates) {
		c = l.without(c, r.Plates[k])
		r.Plates = slices.Delete(slices.Clone(r.Plates), k, k+1)
	}
	r.Screens, r.InkIDs = len(r.Plates), idsOf(r.Plates)
	return r, c
}

// mayGo tells whether a plate may be left out: not the last one, nor an underbase that was asked for.
func (l *ladder) mayGo(plates []Plate, k int) bool {
	return len(plates) > 1 && !(plates[k].Role == Underbase && l.req.Underbase == UnderbaseOn)
}

// emptyOf is the first plate that prints next to nothing, -1 for none.
func (l *ladder) emptyOf(plates []Plate) int {
	return slices.IndexFunc(plates, func(p Plate) bool { return p.Coverage < EmptyPlate*l.inked })
}

// without is a choice less what prints on one of its plates.
func (l *ladder) without(c choice, p Plate) choice {
	switch {
	case p.Role == Underbase:
		return choice{c.inks, false, false}
	case p.Role == Highlight:
		return choice{c.inks, c.base, false}
	}
	inks := slices.DeleteFunc(slices.Clone(c.inks), func(k int) bool { return l.candidates[k].ID == p.Ink.ID })
	return choice{inks, c.base, c.highlight}
}

// printed makes the recipe of a choice; a screen that turns out to print next to nothing is left out of it.
func (l *ladder) printed(c choice, make func(layers) *Recipe) *Recipe {
	for {
		r := make(l.layersOf(c))
		k := l.emptyOf(r.Plates)
		if k < 0 || !l.mayGo(r.Plates, k) {
			return r
		}
		c = l.without(c, r.Plates[k])
	}
}

// rungs takes the figures of choices.
func (l *ladder) rungs(choices []choice) []Rung {
	list := make([]Rung, len(choices))
	cores.Each(len(choices), func(i int) {
		ly := l.layersOf(choices[i])
		got := l.try(choices[i], l.report, nil)
		mean, p95 := match(l.report, got.errs)
		list[i] = Rung{Screens: len(ly.inks), MeanE00: mean, P95E00: p95, InkIDs: ly.ids(),
			Plates: l.inkedPlates(ly, got)}
	})
	return list
}

// inkedPlates are the plates of layers with what a trial on the reported colours has them print.
func (l *ladder) inkedPlates(ly layers, got trial) []Plate {
	plates := ly.plates(l.rendering, l.rendering == Line)
	for i, c := range got.coverage {
		p, share := &plates[i%len(plates)], l.report[i/len(plates)].share
		if l.rendering == Line {
			p.inks(1, float64(share*c))
		} else {
			p.inks(c, share)
		}
	}
	return plates
}

// exchangeRounds is how often an ink of a rung may be changed for a better one; more found nothing better.
const exchangeRounds = 2

func (l *ladder) screens(c choice) int {
	n := len(c.inks)
	if c.base {
		n++
	}
	if c.highlight {
		n++
	}
	return n
}

// best tries choices on all cores and gives the one with the least error as seen, the first of equals; +Inf where none is
// within most. A choice is given up as soon as what it has missed by is more than all of another: nothing is lost by that.
func (l *ladder) best(trials []choice, most float64) (choice, float64) {
	scores := make([]float64, len(trials))
	least := leastSoFar{v: most}
	cores.Each(len(trials), func(i int) { scores[i] = l.score(trials[i], &least) })
	at, score := choice{}, math.Inf(1)
	for i, v := range scores {
		if v < score {
			at, score = trials[i], v
		}
	}
	return at, score
}

// score is the mean error of a choice, as seen, +Inf where that is more than the least so far.
func (l *ladder) score(c choice, least *leastSoFar) float64 {
	sum, lost := 0.0, false
	l.try(c, l.search, func(i int, err float64) bool {
		sum += float64(l.search[i].weight * seen(err))
		lost = sum > least.value()
		return lost
	})
	if lost {
		return math.Inf(1)
	}
	least.lower(sum)
	return sum
}

// leastSoFar is the least of what several goroutines have found.
type leastSoFar struct {
	mu sync.Mutex // guards v
	v  float64
}

func (m *leastSoFar) value() float64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.v
}

func (m *leastSoFar) lower(v float64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.v = min(m.v, v)
}

// swaps lists the choices with one ink changed for another.
func (l *ladder) swaps(now choice) []choice {
	if len(now.inks) < 2 {
		return nil
	}
	var list []choice
	for i := range now.inks {
		for k := range l.candidates {
			if !slices.Contains(now.inks, k) {
				inks := slices.Clone(now.inks)
				inks[i] = k
				list = append(list, choice{inks, now.base, now.highlight})
			}
		}
	}
	return list
}

func tooFewScreens(n int) error {
	return fault.Invalidf(
		"/separation/max_screens",
		"max_screens_range",
		"%d screens cannot hold the underbase and a colour",
		n,
	)
}

// steps lists the choices with one screen more.
func (l *ladder) steps(now choice) []choice {
	var list []choice
	for k := range l.candidates {
		if !slices.Contains(now.inks, k) {
			list = append(list, choice{append(slices.Clone(now.inks), k), now.base, now.highlight})
		}
	}
	if l.underbase != nil && l.req.mayUnderbase() {
		if !now.base {
			list = append(list, choice{now.inks, true, now.highlight})
		} else if !now.highlight {
			list = append(list, choice{now.inks, true, true})
		}
	}
	return list
}
