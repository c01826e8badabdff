package halftone

import "math"

// maskSeed starts the first pattern of every mask; any value does, the same one always gives the same mask.
const maskSeed = 1

// sigma is the width of the Gaussian that weighs how crowded a place is, in dots. Source: Ulichney 1993, 1.5.
const sigma = 1.5

// reach is how far the Gaussian is summed: beyond 6 sigma it is below 2^-25 of the centre.
const reach = 9

// voidAndCluster ranks the points of a lattice so that any number of the first ones lies as evenly as can be: each next
// one goes into the largest void. The ranks are a permutation of 0..size-1. aspect is a point's height over its width:
// evenly means evenly on film, where points are not square.
//
// Crowding is summed in whole numbers, so the order is the same on every machine; ties go to the first in strip order.
// Source: R. Ulichney, SPIE 1913 (1993) 332-343, with one rule for all ranks above the first pattern: beyond half,
// filling the largest void of ink and removing the tightest cluster of bare come to the same.
func voidAndCluster(l lattice, aspect float64, seed uint64) []uint32 {
	return newTorus(l, gaussian(aspect)).rankAll(max(1, l.size()/10), seed)
}

// rankAll ranks all points, the first pattern having so many.
func (t *torus) rankAll(first int, seed uint64) []uint32 {
	t.firstPattern(first, seed)
	rank := make([]uint32, t.size())
	start := append([]bool(nil), t.ink...)
	for n := first - 1; n >= 0; n-- {
		at := t.tightest()
		t.flip(at)
		rank[at] = uint32(n)
	}
	for at, ink := range start {
		if ink {
			t.flip(at)
		}
	}
	for n := first; n < t.size(); n++ {
		at := t.largestVoid()
		t.flip(at)
		rank[at] = uint32(n)
	}
	return rank
}

// torus holds a pattern on a lattice and how crowded each point is by it. The points are watched in runs of runLength,
// so that a flip costs a look at the runs it touched and not at all points.
type torus struct {
	lattice
	ink    []bool
	crowd  []int64   // of an inked point inkedBy more: so the most crowded is inked, and the least is bare
	kernel [][]int64 // how much a point crowds those about it, itself in the middle; of odd size
	most   []extreme // of each run, the most crowded
	least  []extreme // and the least
}

// extreme is a run's most or least crowded point, the first of such.
type extreme struct {
	stale bool // a flip has touched the run
	at    int
	crowd int64
}

const runLength = 64

// inkedBy is far above what points can be crowded by: 2^32 by each of some hundred neighbours.
const inkedBy = 1 << 56

func newTorus(l lattice, kernel [][]int64) *torus {
	t := &torus{lattice: l, ink: make([]bool, l.size()), crowd: make([]int64, l.size()), kernel: kernel}
	runs := (l.size() + runLength - 1) / runLength
	t.most, t.least = make([]extreme, runs), make([]extreme, runs)
	for i := range runs {
		t.touch(i)
	}
	return t
}

// touch notes that the i-th run has changed.
func (t *torus) touch(i int) { t.most[i].stale, t.least[i].stale = true, true }

// gaussian is the kernel that spreads points evenly: near ones count most, by their distance on film.
func gaussian(aspect float64) [][]int64 {
	return kernelOf(reach, func(x, y float64) float64 {
		r2 := float64(x*x/aspect) + float64(y*y*aspect)
		return math.Exp(-r2 / (2 * sigma * sigma))
	})
}

// kernelOf tables f over the points up to reach away, in units of 2^-32.
func kernelOf(reach int, f func(x, y float64) float64) [][]int64 {
	kernel := make([][]int64, 2*reach+1)
	for y := range kernel {
		kernel[y] = make([]int64, 2*reach+1)
		for x := range kernel[y] {
			kernel[y][x] = int64(math.Round((1 << 32) * f(float64(x-reach), float64(y-reach))))
		}
	}
	return kernel
}

// flip inks or bares a point and tells its neighbours, round the edges.
func (t *torus) flip(at int) {
	sign := int64(1)
	if t.ink[at] {
		sign = -1
	}
	t.ink[at] = !t.ink[at]
	t.crowd[at] += sign * inkedBy
	middle := len(t.kernel) / 2
	row := t.point(at%t.width-middle, at/t.width-middle)
	for _, weights := range t.kernel {
		for x := row.x; len(weights) > 0; x = 0 {
			n := min(len(weights), t.width-x)
			from := row.y*t.width + x
			crowd := t.crowd[from:][:n]
			for i, w := range weights[:n] {
				crowd[i] += sign * w
			}
			for i := from / runLength; i <= (from+n-1)/runLength; i++ {
				t.touch(i)
			}
			weights = weights[n:]
		}
		row.move(0, 1)
	}
}

// firstPattern inks so many points at random, then moves the tightest into the largest void until that changes nothing.
func (t *torus) firstPattern(want int, seed uint64) {
	for n := 0; n < want; {
		seed = seed*6364136223846793005 + 1442695040888963407 // Knuth's 64-bit congruence
		if at := int(seed>>33) % len(t.ink); !t.ink[at] {
			t.flip(at)
			n++
		}
	}
	for range 10 * t.size() { // it ends long before; a bound keeps a tie from turning in circles
		from := t.tightest()
		t.flip(from)
		to := t.largestVoid()
		t.flip(to)
		if from == to {
			break
		}
	}
}

// tightest is the most crowded inked point, the first of such; there must be one.
func (t *torus) tightest() int {
	best := extreme{crowd: math.MinInt64}
	for i := range t.most {
		run := &t.most[i]
		if run.stale {
			*run = extreme{crowd: math.MinInt64}
			for at, crowd := range t.run(i) {
				if crowd > run.crowd {
					run.at, run.crowd = i*runLength+at, crowd
				}
			}
		}
		if run.crowd > best.crowd {
			best = *run
		}
	}
	return best.at
}

// largestVoid is the least crowded bare point, the first of such; there must be one.
func (t *torus) largestVoid() int {
	best := extreme{crowd: math.MaxInt64}
	for i := range t.least {
		run := &t.least[i]
		if run.stale {
			*run = extreme{crowd: math.MaxInt64}
			for at, crowd := range t.run(i) {
				if crowd < run.crowd {
					run.at, run.crowd = i*runLength+at, crowd
				}
			}
		}
		if run.crowd < best.crowd {
			best = *run
		}
	}
	return best.at
}

// run is how crowded the points of the i-th run are.
func (t *torus) run(i int) []int64 {
	return t.crowd[i*runLength : min((i+1)*runLength, len(t.crowd))]
}
