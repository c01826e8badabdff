package separate

import (
	"math"

	"tamis/pkg/color"
	"tamis/pkg/ink"
)

// Costs of a node's minimisation, in squared CIELAB-like units against half the squared colour error. Ours; the
// ladder and table tests hold what they bring about.
const (
	costInk       = 1.7
	costUnderbase = 1.0
	costFreedom   = 0.5  // more of both with inks to spare: four inks to mend a unit of colour make a busy print
	costOverLimit = 4e3  // per squared coverage over the total-ink limit
	inkLimit      = 3.0  // total coverage without the underbase; more does not dry between stations. Practice.
	startDamping  = 1.0  // of a Gauss-Newton step; a step of 1 in coverage moves the colour by 30 to 90
	settled       = 1e-3 // steps smaller than this in every coverage end the search
)

// solver finds coverages for one colour after another. One belongs to one goroutine.
type solver struct {
	stack *ink.Stack
	cost  []float64
	base  int // index of the underbase, -1 none: it does not count against the ink limit

	grad   []ink.Light  // of the light by coverage
	cols   [][3]float64 // of the residual by coverage
	step   []float64
	wish   []float64 // the step that the charges alone would take
	weight []float64 // how firmly they hold to it
	free   []bool    // coverages not held at a bound
	next   []float64
	trial  []float64
	pull   pull // scratch of those who smooth
}

func newSolver(stack *ink.Stack, cost []float64, base int) *solver {
	n := stack.Len()
	scaled := make([]float64, n)
	for i, c := range cost {
		scaled[i] = c * (1 + float64(costFreedom*freedom(n)))
	}
	return &solver{
		stack: stack, cost: scaled, base: base,
		grad: make(
			[]ink.Light,
			n,
		), cols: make([][3]float64, n), step: make([]float64, n), next: make([]float64, n),
		wish: make([]float64, n), weight: make([]float64, n), free: make([]bool, n),
		trial: make([]float64, n), pull: newPull(n),
	}
}

// minimise improves cov, in place, towards the aim in at most rounds steps and gives the objective.
//
// Ours: Gauss-Newton with bounds. The light is affine in each coverage, so the linear model is good over long steps;
// its least squares has three residuals, a few hundred operations a step.
func (s *solver) minimise(a *aim, cov []float64, p *pull, rounds int) float64 {
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
func (s *solver) objective(a *aim, cov []float64, p *pull) float64 {
	r := a.residual(s.stack.Light(cov).Lab())
	return half(r) + s.charges(cov, p)
}

// linearise gives the objective and the residual at cov, and leaves the residual's derivatives in s.cols.
func (s *solver) linearise(a *aim, cov []float64, p *pull) (float64, [3]float64) {
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
func (s *solver) charges(cov []float64, p *pull) float64 {
	sum := 0.0
	for i, c := range cov {
		sum += float64(s.cost[i]*c) + p.charge(i, c)
	}
	over := s.over(cov)
	return sum + float64(costOverLimit*over*over)/2
}

// descend fills s.step with the minimiser of the linear model within the bounds and gives its largest part.
//
// The charges draw coverage i towards a wish with a weight; W holds the weights. Without bounds the step is then
// wish - W^-1 J' (J W^-1 J' + 1)^-1 (r + J wish): three equations, however many inks. Coverages that would leave 0..1
// are held at the bound and the rest is solved again.
func (s *solver) descend(cov []float64, r [3]float64, p *pull, damping float64) (largest float64) {
	over := s.over(cov)
	for i, c := range cov {
		force, weight := p.draw(i, c)
		force -= s.cost[i]
		if i != s.base {
			force -= costOverLimit * over
			weight += s.limitWeight(over)
		}
		s.weight[i] = weight + damping
		s.wish[i], s.free[i] = force/s.weight[i], true
	}
	for range cov {
		s.solveFree(r)
		if !s.holdWorst(cov, &r) {
			break
		}
	}
	for i, d := range s.step {
		d = min(max(d, -cov[i]), 1-cov[i])
		s.step[i] = d
		largest = max(largest, d, -d)
	}
	return largest
}

// limitWeight makes the limit yield as all coverages but the base give way together.
func (s *solver) limitWeight(over float64) float64 {
	if over == 0 {
		return 0
	}
	return costOverLimit * float64(len(s.step))
}

// solveFree writes the unbounded step of the free coverages.
func (s *solver) solveFree(r [3]float64) {
	m := [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for i, free := range s.free {
		if !free {
			continue
		}
		c, b, w := &s.cols[i], s.wish[i], 1/s.weight[i]
		for k := range 3 {
			r[k] += float64(c[k] * b)
			v := c[k] * w
			for l := k; l < 3; l++ {
				m[k][l] += float64(v * c[l])
			}
		}
	}
	z := solveSymmetric(m, r)
	for i, free := range s.free {
		if free {
			c := &s.cols[i]
			back := float64(c[0]*z[0]) + float64(c[1]*z[1]) + float64(c[2]*z[2])
			s.step[i] = s.wish[i] - back/s.weight[i]
		}
	}
}

// holdWorst fixes at its bound the free coverage whose step leaves 0..1 the farthest, moves r by what that does, and
// tells whether there was one. One at a time: what stops first often lets others move freely.
func (s *solver) holdWorst(cov []float64, r *[3]float64) bool {
	worst, at := 0.0, -1
	for i, free := range s.free {
		if !free {
			continue
		}
		if by := max(-cov[i]-s.step[i], cov[i]+s.step[i]-1); by > worst {
			worst, at = by, i
		}
	}
	if at < 0 {
		return false
	}
	d := min(max(s.step[at], -cov[at]), 1-cov[at])
	s.step[at], s.free[at] = d, false
	for k := range 3 {
		r[k] += float64(s.cols[at][k] * d)
	}
	return true
}

// over is how much ink is too much, 0 within the limit.
func (s *solver) over(cov []float64) float64 {
	total := 0.0
	for i, c := range cov {
		if i != s.base {
			total += c
		}
	}
	return max(0, total-inkLimit)
}

// solveSymmetric solves m z = r for a positive definite m of which the upper half is given.
//
// Source: the decomposition of Cholesky.
func solveSymmetric(m [3][3]float64, r [3]float64) [3]float64 {
	a := math.Sqrt(m[0][0])
	b, c := m[0][1]/a, m[0][2]/a
	d := math.Sqrt(m[1][1] - float64(b*b))
	e := (m[1][2] - float64(b*c)) / d
	f := math.Sqrt(m[2][2] - float64(c*c) - float64(e*e))
	y0 := r[0] / a
	y1 := (r[1] - float64(b*y0)) / d
	y2 := (r[2] - float64(c*y0) - float64(e*y1)) / f
	z2 := y2 / f
	z1 := (y1 - float64(e*z2)) / d
	return [3]float64{(y0 - float64(b*z1) - float64(c*z2)) / a, z1, z2}
}

func half(r [3]float64) float64 {
	return (float64(r[0]*r[0]) + float64(r[1]*r[1]) + float64(r[2]*r[2])) / 2
}

// solve finds coverages for a colour from nothing: from bare, from all inks, and (thorough) from each ink alone; the
// best of the ends is kept.
func (s *solver) solve(a *aim, cov []float64, thorough bool) float64 {
	clear(cov)
	least := s.minimise(a, cov, &pull{}, startRounds)
	last := 0
	if thorough {
		last = len(cov)
	}
	for start := range last + 1 {
		s.begin(start - 1)
		if v := s.minimise(a, s.trial, &pull{}, startRounds); v < least {
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
