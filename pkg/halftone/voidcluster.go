package halftone

import "math"

// maskSeed starts the first pattern of every mask; any value does, the same one always gives the same mask.
const maskSeed = 1

// sigma is the width of the Gaussian that weighs how crowded a place is, in dots. Source: Ulichney 1993, 1.5.
const sigma = 1.5

// reach is how far the Gaussian is summed: beyond 6 sigma it is below 2^-25 of the centre.
const reach = 9

// voidAndCluster ranks the places of a width x height torus so that any number of the first ones lies as evenly as
// can be: each next one goes into the largest void. The ranks are a permutation of 0..width*height-1.
//
// Crowding is summed in whole numbers, so the order is the same on every machine; ties go to the first in row order.
// Source: R. Ulichney, SPIE 1913 (1993) 332-343, with one phase for all ranks above the first pattern: beyond half,
// filling the largest void of ink and removing the tightest cluster of bare come to the same.
func voidAndCluster(width, height int, seed uint64) []uint32 {
	t := newTorus(width, height)
	first := t.firstPattern(seed)
	rank := make([]uint32, width*height)
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
	for n := first; n < width*height; n++ {
		at := t.largestVoid()
		t.flip(at)
		rank[at] = uint32(n)
	}
	return rank
}

// torus holds a pattern and how crowded each place is by it.
type torus struct {
	width, height int
	ink           []bool
	crowd         []int64
	kernel        [2*reach + 1][2*reach + 1]int64
}

func newTorus(width, height int) *torus {
	t := &torus{width: width, height: height, ink: make([]bool, width*height), crowd: make([]int64, width*height)}
	for y := range t.kernel {
		for x := range t.kernel[y] {
			r2 := float64((x-reach)*(x-reach) + (y-reach)*(y-reach))
			t.kernel[y][x] = int64(math.Round((1 << 32) * math.Exp(-r2/(2*sigma*sigma))))
		}
	}
	return t
}

// flip inks or bares a place and tells its neighbours, round the edges.
func (t *torus) flip(at int) {
	sign := int64(1)
	if t.ink[at] {
		sign = -1
	}
	t.ink[at] = !t.ink[at]
	x, y := at%t.width, at/t.width
	for dy := -reach; dy <= reach; dy++ {
		row := t.crowd[mod(y+dy, t.height)*t.width:][:t.width]
		for dx := -reach; dx <= reach; dx++ {
			row[mod(x+dx, t.width)] += sign * t.kernel[dy+reach][dx+reach]
		}
	}
}

// firstPattern inks a tenth of the places at random, then moves the tightest into the largest void until that changes
// nothing. It gives the number inked.
func (t *torus) firstPattern(seed uint64) int {
	want := max(1, t.width*t.height/10)
	for n := 0; n < want; {
		seed = seed*6364136223846793005 + 1442695040888963407 // Knuth's 64-bit congruence
		if at := int(seed>>33) % len(t.ink); !t.ink[at] {
			t.flip(at)
			n++
		}
	}
	for {
		from := t.tightest()
		t.flip(from)
		to := t.largestVoid()
		t.flip(to)
		if from == to {
			return want
		}
	}
}

// tightest is the most crowded inked place.
func (t *torus) tightest() int {
	best, most := -1, int64(math.MinInt64)
	for at, ink := range t.ink {
		if ink && t.crowd[at] > most {
			best, most = at, t.crowd[at]
		}
	}
	return best
}

// largestVoid is the least crowded bare place.
func (t *torus) largestVoid() int {
	best, least := -1, int64(math.MaxInt64)
	for at, ink := range t.ink {
		if !ink && t.crowd[at] < least {
			best, least = at, t.crowd[at]
		}
	}
	return best
}
