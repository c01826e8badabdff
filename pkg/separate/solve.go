package separate

import (
	"tamis/pkg/color"
	"tamis/pkg/ink"
)

// Costs of a node's minimisation, in squared CIELAB-like units against half the squared colour error. Ours; the
// ladder and table tests hold what they bring about.
const (
	costInk       = 1.7 // full coverage must gain more than a colour error of 1.8, or the garment stays bare
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

	grad  []ink.Light  // of the light by coverage
	cols  [][3]float64 // of the residual by coverage
	spare [][3]float64 // those of the step before
	step  []float64
	wish  []float64 // the step that the charges alone would take
	yield []float64 // how readily a coverage leaves its wish
	free  []bool    // coverages not held at a bound
	next  []float64
	trial []float64
	pull  pull // scratch of those who smooth
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
		), cols: make([][3]float64, n), spare: make([][3]float64, n), step: make([]float64, n), next: make([]float64, n),
		wish: make([]float64, n), yield: make([]float64, n), free: make([]bool, n),
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
	for round := 1; round <= rounds; round++ {
		if s.descend(cov, res, p, damping) < settled {
			break
		}
		for i := range cov {
			s.next[i] = min(max(cov[i]+s.step[i], 0), 1)
		}
		if round == rounds { // nobody will ask for the slopes there
			if then := s.objective(a, s.next, p); then < now {
				copy(cov, s.next)
				now = then
			}
			break
		}
		s.cols, s.spare = s.spare, s.cols
		then, r := s.linearise(a, s.next, p)
		if then < now {
			copy(cov, s.next)
			damping /= 4
			now, res = then, r
			continue
		}
		s.cols, s.spare = s.spare, s.cols
		damping = 8*damping + 8
	}
	return now
}

// objective is half the squared error plus costs.
func (s *solver) objective(a *aim, cov []float64, p *pull) float64 {
	return half(a.residual(s.stack.Light(cov).Lab())) + s.charges(cov, p)
}

// linearise gives the objective and the residual at cov, and leaves the residual's derivatives in s.cols.
func (s *solver) linearise(a *aim, cov []float64, p *pull) (float64, [3]float64) {
	light := s.stack.Derive(cov, s.grad)
	lab, slope := light.LabSlope()
	r := a.residual(lab)
	m := a.times(slope)
	for i := range s.cols {
		g, c := s.grad[i], &s.cols[i]
		c[0] = float64(m[0][0]*g[0]) + float64(m[0][1]*g[1]) + float64(m[0][2]*g[2])
		c[1] = float64(m[1][0]*g[0]) + float64(m[1][1]*g[1]) + float64(m[1][2]*g[2])
		c[2] = float64(m[2][0]*g[0]) + float64(m[2][1]*g[1]) + float64(m[2][2]*g[2])
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
// are held at the bound, one at a time, the one farthest out first: what stops first often lets others move freely.
func (s *solver) descend(cov []float64, r [3]float64, p *pull, damping float64) (largest float64) {
	m := s.normal(cov, &r, p, damping)
	for range cov {
		z := solveSymmetric(&m, &r)
		worst, at := 0.0, -1
		for i, free := range s.free {
			if !free {
				continue
			}
			c := &s.cols[i]
			d := s.wish[i] - (float64(c[0]*z[0])+float64(c[1]*z[1])+float64(c[2]*z[2]))*s.yield[i]
			s.step[i] = d
			if by := -cov[i] - d; by > worst {
				worst, at = by, i
			}
			if by := cov[i] + d - 1; by > worst {
				worst, at = by, i
			}
		}
		if at < 0 {
			break
		}
		s.hold(at, min(max(s.step[at], -cov[at]), 1-cov[at]), &m, &r)
	}
	for i, d := range s.step {
		d = min(max(d, -cov[i]), 1-cov[i])
		s.step[i] = d
		largest = max(largest, d, -d)
	}
	return largest
}

// normal frees all coverages, fills their wishes and yields, and gives J W^-1 J' + 1 (its upper half), r + J wish.
func (s *solver) normal(cov []float64, r *[3]float64, p *pull, damping float64) [3][3]float64 {
	over := s.over(cov)
	m := [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for i, c := range cov {
		force, weight := p.draw(i, c)
		force -= s.cost[i]
		if i != s.base && over > 0 {
			force -= costOverLimit * over
			weight += costOverLimit * float64(len(cov)) // all give way together
		}
		y := 1 / (weight + damping)
		s.yield[i], s.wish[i], s.free[i] = y, force*y, true
		s.add(i, y, s.wish[i], &m, r)
	}
	return m
}

// add adds column i to the normal equations, y times, and b of it to the residual.
func (s *solver) add(i int, y, b float64, m *[3][3]float64, r *[3]float64) {
	c := s.cols[i]
	r[0], r[1], r[2] = r[0]+float64(c[0]*b), r[1]+float64(c[1]*b), r[2]+float64(c[2]*b)
	u, v, w := c[0]*y, c[1]*y, c[2]*y
	m[0][0] += float64(u * c[0])
	m[0][1] += float64(u * c[1])
	m[0][2] += float64(u * c[2])
	m[1][1] += float64(v * c[1])
	m[1][2] += float64(v * c[2])
	m[2][2] += float64(w * c[2])
}

// hold fixes coverage i at a step of d.
func (s *solver) hold(i int, d float64, m *[3][3]float64, r *[3]float64) {
	s.step[i], s.free[i] = d, false
	s.add(i, -s.yield[i], d-s.wish[i], m, r)
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
// Source: the decomposition of Cholesky, without its roots.
func solveSymmetric(m *[3][3]float64, r *[3]float64) [3]float64 {
	ia := 1 / m[0][0]
	b, c := m[0][1]*ia, m[0][2]*ia
	id := 1 / (m[1][1] - float64(b*m[0][1]))
	e := (m[1][2] - float64(b*m[0][2])) * id
	f := m[2][2] - float64(c*m[0][2]) - float64(e*(m[1][2]-float64(b*m[0][2])))
	y1 := r[1] - float64(b*r[0])
	y2 := r[2] - float64(c*r[0]) - float64(e*y1)
	z2 := y2 / f
	z1 := float64(y1*id) - float64(e*z2)
	return [3]float64{float64(r[0]*ia) - float64(b*z1) - float64(c*z2), z1, z2}
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
