package tone

import "math"

// measured lays the curve through the areas and tells how they scatter about it. The tones rise; bare and solid are
// pinned whatever was read there.
//
// What the process adds to a tone is taken apart in two: what follows the length of the dots' edges (rims), and the
// smooth rest (smoothest). Between the strip's steps, which are few, the curve follows the first.
func measured(groups []group) Measured {
	m := Measured{Monotone: true}
	knots := []knot{{0, 0, 0}}
	var inner []group
	top := 0.0
	for _, g := range groups {
		m.Monotone = m.Monotone && g.area >= top
		top = max(top, g.area)
		if g.tone > 0 && g.tone < 1 {
			inner = append(inner, g)
			knots = append(knots, knot{g.tone, g.area - g.tone, 1 / float64(len(g.areas))})
		}
	}
	knots = append(knots, knot{1, 0, 0})
	rim := fitRims(knots)
	for i, k := range knots {
		knots[i].y = k.y - rim.at(k.x)
	}
	smooth, free := smoothest(knots)
	main := func(x float64) float64 { return x + rim.at(x) }
	rest := curveBetween(knots, smooth)
	m.NoiseArea = scatter(inner, func(x float64) float64 { return main(x) + rest(x) }, free+rim.free())
	m.Noisy = len(inner) >= noisyTones && m.NoiseArea >= noisyArea
	if len(inner) < tellNoise || m.NoiseArea < quiet {
		rest = curveBetween(knots, valuesOf(knots))
	}
	curve, err := FromPoints(risen(func(x float64) float64 { return main(x) + rest(x) }))
	if err != nil {
		panic("tone: " + err.Error()) // in rising order, within 0..1 and not falling, by construction
	}
	m.Curve = curve
	return m
}

func valuesOf(knots []knot) []float64 {
	values := make([]float64, len(knots))
	for i, k := range knots {
		values[i] = k.y
	}
	return values
}

// curveBetween reads the rest at any tone: smooth between the knots, with no more ups and downs than they have.
func curveBetween(knots []knot, values []float64) func(x float64) float64 {
	points := make([][2]float64, len(knots))
	for i, k := range knots {
		points[i] = [2]float64{k.x, values[i]}
	}
	slopes := levelSlopes(points)
	return func(x float64) float64 {
		i := 0
		for i < len(points)-2 && x > points[i+1][0] {
			i++
		}
		return hermite(points[i], points[i+1], slopes[i], slopes[i+1], x)
	}
}

// levelSlopes are hermiteSlopes where values may fall too: level at every turn.
func levelSlopes(p [][2]float64) []float64 {
	slopes := hermiteSlopes(p)
	for i := 1; i < len(p)-1; i++ {
		if (p[i][1]-p[i-1][1])*(p[i+1][1]-p[i][1]) <= 0 {
			slopes[i] = 0
		}
	}
	return slopes
}

// scatter is the standard deviation of readings about a curve that has used up some freedoms.
func scatter(groups []group, curve func(tone float64) float64, free float64) float64 {
	squares, readings := 0.0, 0
	for _, g := range groups {
		for _, a := range g.areas {
			off := a - curve(g.tone)
			squares += float64(off * off)
			readings++
		}
	}
	return math.Sqrt(squares / math.Max(float64(readings)-free, 0.5))
}

// knot is a value y at x with its variance against the others'; variance 0 pins the curve to it.
type knot struct{ x, y, spread float64 }

// The curves tried run from one that bends at four knots in five to one that hardly bends: a step of three each.
const (
	stiffnesses = 24
	stiffStep   = 3.0
	stiffFirst  = 1e-9
	freeMost    = 0.8 // of the knots between the ends
	freeWeight  = 1.4 // what a freedom costs; 1 is plain cross-validation, which bends to chance on few knots
)

// tellNoise is the number of tones between bare and solid from which noise is smoothed away. Ours: the eight steps of a
// film's strip cannot tell noise from the shape of a gain (smoothing them put a film off by 1.2 % of area where passing
// through them left 0.3 %); who wants noise averaged away there reads each step several times.
const tellNoise = 12

// quiet is the scatter, in area, below which readings are passed through as well: the kinks where dots join scatter as
// much about a smooth curve, and a curve that follows such readings is right to half a percent whichever it was.
const quiet = 0.005

// smoothest gives the smooth curve's values at the knots and how many freedoms it took: the cubic spline of least
// curvature for its distance from the values, the two weighed by generalised cross-validation.
//
// Source: C. H. Reinsch, Numer. Math. 10 (1967) 177-183; P. Craven and G. Wahba, Numer. Math. 31 (1979) 377-403; the
// weight of a freedom after C. Gu, Smoothing Spline ANOVA Models (2002), 3.2.2.
func smoothest(knots []knot) (values []float64, free float64) {
	between := float64(len(knots) - 2)
	best := math.Inf(1)
	stiffness := stiffFirst
	for range stiffnesses {
		v, f := spline(knots, stiffness)
		stiffness *= stiffStep
		if f > freeMost*between && !math.IsInf(best, 1) {
			continue
		}
		squares := 0.0
		for i, k := range knots {
			if k.spread > 0 {
				squares += float64((k.y-v[i])*(k.y-v[i])) / k.spread
			}
		}
		rest := 1 - freeWeight*f/between
		if rest <= 0 || f > freeMost*between {
			values, free = v, f // until a stiffer one comes
			continue
		}
		if score := squares / (rest * rest); score < best {
			best, values, free = score, v, f
		}
	}
	return values, free
}

// spline gives the smoothing spline of a stiffness at the knots, and the trace of the matrix that makes it from their
// values: its freedoms.
func spline(knots []knot, stiffness float64) (values []float64, free float64) {
	q := differencesOf(knots)
	inverse := inverted(q.stiff(knots, stiffness))
	bend := make([]float64, len(inverse)) // the curvature at the knots between
	for a, row := range inverse {
		for b, v := range row {
			for i := b; i <= b+2; i++ {
				bend[a] += float64(float64(v*q.at(i, b)) * knots[i].y)
			}
		}
	}
	values = make([]float64, len(knots))
	for i, k := range knots {
		values[i] = k.y
		if k.spread == 0 {
			continue
		}
		free++
		for a := max(0, i-2); a <= min(len(inverse)-1, i); a++ {
			w := float64(float64(stiffness*k.spread) * q.at(i, a))
			values[i] -= float64(w * bend[a])
			for b := max(0, i-2); b <= min(len(inverse)-1, i); b++ {
				free -= float64(float64(w*inverse[a][b]) * q.at(i, b))
			}
		}
	}
	return values, free
}

// differences holds the distances between knots, from which second differences are made.
type differences []float64

func differencesOf(knots []knot) differences {
	h := make(differences, len(knots)-1)
	for i := range h {
		h[i] = knots[i+1].x - knots[i].x
	}
	return h
}

// at is how much knot i counts in the j-th second difference: j, j+1 and j+2 do.
func (h differences) at(i, j int) float64 {
	switch i - j {
	case 0:
		return 1 / h[j]
	case 1:
		return -1/h[j] - 1/h[j+1]
	case 2:
		return 1 / h[j+1]
	}
	return 0
}

// stiff is Reinsch's matrix R + stiffness Q' V Q: R the integral of the squared curvature, Q the second differences, V
// the knots' variances. It has five diagonals.
func (h differences) stiff(knots []knot, stiffness float64) [][]float64 {
	n := len(knots) - 2
	m := make([][]float64, n)
	for a := range m {
		m[a] = make([]float64, n)
		m[a][a] = (h[a] + h[a+1]) / 3
		if a > 0 {
			m[a][a-1] = h[a] / 6
		}
		if a < n-1 {
			m[a][a+1] = h[a+1] / 6
		}
		for b := max(0, a-2); b <= min(n-1, a+2); b++ {
			for i := max(a, b); i <= min(a, b)+2; i++ {
				m[a][b] += float64(float64(float64(stiffness*knots[i].spread)*h.at(i, a)) * h.at(i, b))
			}
		}
	}
	return m
}

// inverted is the inverse of a symmetric positive definite matrix, by Gauss and Jordan without pivots. m is used up.
func inverted(m [][]float64) [][]float64 {
	inverse := make([][]float64, len(m))
	for i := range inverse {
		inverse[i] = make([]float64, len(m))
		inverse[i][i] = 1
	}
	for i := range m {
		scale := 1 / m[i][i]
		for c := range m {
			m[i][c] *= scale
			inverse[i][c] *= scale
		}
		for r := range m {
			if r == i || m[r][i] == 0 {
				continue
			}
			f := m[r][i]
			for c := range m {
				m[r][c] -= float64(f * m[i][c])
				inverse[r][c] -= float64(f * inverse[i][c])
			}
		}
	}
	return inverse
}

// pool is values that one mean stands for.
type pool struct {
	sum   float64
	count int
}

func (p pool) mean() float64 { return p.sum / float64(p.count) }

// risen samples a curve at even tones and keeps it within 0..1 and from falling: samples that fall take the mean of the
// run that makes them level.
//
// Source: M. Ayer et al., Ann. Math. Stat. 26 (1955) 641-647 (pooling of adjacent violators).
func risen(curve func(tone float64) float64) [][2]float64 {
	var pools []pool
	for i := range samples + 1 {
		pools = append(pools, pool{min(max(curve(float64(i)/samples), 0), 1), 1})
		for n := len(pools); n > 1 && pools[n-2].mean() > pools[n-1].mean(); n-- {
			pools[n-2] = pool{pools[n-2].sum + pools[n-1].sum, pools[n-2].count + pools[n-1].count}
			pools = pools[:n-1]
		}
	}
	points := make([][2]float64, 0, samples+1)
	for _, p := range pools {
		for range p.count {
			points = append(points, [2]float64{float64(len(points)) / samples, p.mean()})
		}
	}
	points[0][1], points[samples][1] = 0, 1
	return points
}

// samples is the number of steps a measured curve is kept in: half a percent each.
const samples = 200
