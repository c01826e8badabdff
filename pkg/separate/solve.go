package separate

import (
	"tamis/pkg/color"
	"tamis/pkg/ink"
)

// Costs of a node's minimisation, in squared CIELAB-like units against half the squared colour error. Ours; the
// ladder and table tests hold what they bring about.
const (
	costInk       = 2.0 // full coverage must gain more than a colour error of 2, or the garment stays bare
	costUnderbase = 1.0
	costOverLimit = 4e3  // per squared coverage over the total-ink limit
	inkLimit      = 3.0  // total coverage without the underbase; more does not dry between stations. Practice.
	startDamping  = 1.0  // of a Gauss-Newton step; a step of 1 in coverage moves the colour by 30 to 90
	sweeps        = 6    // of coordinate descent inside one step
	settled       = 1e-3 // steps smaller than this in every coverage end the search
)

// solver finds coverages for one colour after another. One belongs to one goroutine.
type solver struct {
	stack *ink.Stack
	cost  []float64
	base  int // index of the underbase, -1 none: it does not count against the ink limit

	grad  []ink.Light  // of the light by coverage
	cols  [][3]float64 // of the residual by coverage
	step  []float64
	next  []float64
	trial []float64
}

func newSolver(stack *ink.Stack, cost []float64, base int) *solver {
	n := stack.Len()
	return &solver{
		stack: stack, cost: cost, base: base,
		grad: make(
			[]ink.Light,
			n,
		), cols: make([][3]float64, n), step: make([]float64, n), next: make([]float64, n),
		trial: make([]float64, n),
	}
}

// pull draws a solution towards its neighbours' mean: rough is the weight, 0 for none.
type pull struct {
	mean  []float64
	rough float64
}

// minimise improves cov, in place, towards the aim in at most rounds steps and gives the objective.
//
// Ours: Gauss-Newton with bounds. The light is affine in each coverage, so the linear model is good over long steps;
// its bounded least squares is solved by coordinate descent on three residuals, a few hundred operations a step.
func (s *solver) minimise(a *aim, cov []float64, p pull, rounds int) float64 {
	damping := startDamping
	now, res := s.linearise(a, cov, p)
	for range rounds {
		largest := s.descend(cov, res, p, damping)
		if largest < settled {
			break
		}
		for i := range cov {
			s.next[i] = min(max(cov[i]+s.step[i], 0), 1)
		}
		if then := s.objective(a, s.next, p); then < now {
			copy(cov, s.next)
			damping /= 4
			now, res = s.linearise(a, cov, p)
			continue
		}
		damping = 8*damping + 8
	}
	return now
}

// objective is half the squared error plus costs.
func (s *solver) objective(a *aim, cov []float64, p pull) float64 {
	r := a.residual(s.stack.Light(cov).Lab())
	return half(r) + s.charges(cov, p)
}

// linearise gives the objective and the residual at cov, and leaves the residual's derivatives in s.cols.
func (s *solver) linearise(a *aim, cov []float64, p pull) (float64, [3]float64) {
	light := s.stack.Derive(cov, s.grad)
	lab, slope := light.LabSlope()
	r := a.residual(lab)
	m := a.times(slope)
	for i := range s.cols {
		g := s.grad[i]
		for k := range 3 {
			s.cols[i][k] = float64(m[k][0]*g[0]) + float64(m[k][1]*g[1]) + float64(m[k][2]*g[2])
		}
	}
	return half(r) + s.charges(cov, p), r
}

// charges are the costs of ink, of roughness and of going over the limit.
func (s *solver) charges(cov []float64, p pull) float64 {
	sum, total := 0.0, 0.0
	for i, c := range cov {
		sum += float64(s.cost[i] * c)
		if i != s.base {
			total += c
		}
		if p.rough > 0 {
			d := c - p.mean[i]
			sum += p.rough / 2 * d * d
		}
	}
	if over := total - inkLimit; over > 0 {
		sum += costOverLimit / 2 * over * over
	}
	return sum
}

// descend fills s.step with the bounded minimiser of the linear model and gives its largest part.
func (s *solver) descend(cov []float64, r [3]float64, p pull, damping float64) (largest float64) {
	clear(s.step)
	total := 0.0
	for i, c := range cov {
		if i != s.base {
			total += c
		}
	}
	for range sweeps {
		for i := range s.step {
			moved := s.descendOne(i, cov[i], &r, p, damping, total-inkLimit)
			if i != s.base {
				total += moved
			}
		}
	}
	for _, d := range s.step {
		largest = max(largest, d, -d)
	}
	return largest
}

// descendOne moves one coverage to the best value with the others held, and gives the move.
func (s *solver) descendOne(i int, at float64, r *[3]float64, p pull, damping, over float64) float64 {
	col, d := &s.cols[i], s.step[i]
	slope := float64(col[0]*r[0]) + float64(col[1]*r[1]) + float64(col[2]*r[2]) + s.cost[i] + float64(damping*d)
	curve := float64(col[0]*col[0]) + float64(col[1]*col[1]) + float64(col[2]*col[2]) + damping
	if p.rough > 0 {
		slope += float64(p.rough * (at + d - p.mean[i]))
		curve += p.rough
	}
	if over > 0 && i != s.base {
		slope += costOverLimit * over
		curve += costOverLimit
	}
	next := min(max(d-slope/curve, -at), 1-at)
	move := next - d
	s.step[i] = next
	for k := range 3 {
		r[k] += float64(col[k] * move)
	}
	return move
}

func half(r [3]float64) float64 {
	return (float64(r[0]*r[0]) + float64(r[1]*r[1]) + float64(r[2]*r[2])) / 2
}

// solve finds coverages for a colour from nothing: from bare, from all inks, and (thorough) from each ink alone; the
// best of the ends is kept.
func (s *solver) solve(a *aim, cov []float64, thorough bool) float64 {
	clear(cov)
	least := s.minimise(a, cov, pull{}, startRounds)
	last := 0
	if thorough {
		last = len(cov)
	}
	for start := range last + 1 {
		s.begin(start - 1)
		if v := s.minimise(a, s.trial, pull{}, startRounds); v < least {
			least = v
			copy(cov, s.trial)
		}
	}
	return least
}

// startRounds is how many steps a start may take: most settle in 5 to 8.
const startRounds = 12

// begin fills the trial with some of every ink, much of the first one (-1: none) and of the underbase.
func (s *solver) begin(first int) {
	for i := range s.trial {
		s.trial[i] = 0.3
		if i == first || i == s.base {
			s.trial[i] = 0.8
		}
	}
}

// errorOf is the CIEDE2000 of the print at cov to the target.
func errorOf(stack *ink.Stack, cov []float64, want color.Lab) float64 {
	return color.DeltaE00(stack.Predict(cov), want)
}
