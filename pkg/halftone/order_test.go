package halftone

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// place gives where the centre of device pixel (x, y) lies: in which cell (i, j), counted from the film's origin, and
// where in it (u, v in -1..1), exactly: integers up to the last division.
func (c supercell) place(x, y int) (i, j int, u, v float64) {
	// In supercells the centre is (p, q) / (2 det); in cells that times the matrix of cells.
	det := c.a.x*c.b.y - c.a.y*c.b.x
	p := (2*x+1)*c.b.y - (2*y+1)*c.b.x
	q := (2*y+1)*c.a.x - (2*x+1)*c.a.y
	if det < 0 {
		det, p, q = -det, -p, -q
	}
	s, t := p*c.a.i+q*c.b.i, p*c.a.j+q*c.b.j
	i, j = floorDiv(s, 2*det), floorDiv(t, 2*det)
	u = float64(mod(s, 2*det)-det) / float64(det)
	v = float64(mod(t, 2*det)-det) / float64(det)
	return i, j, u, v
}

// orderCases are supercells of one kind or another, at resolutions and rulings where many pixels are alike and where
// few are.
func orderCases() []Spec {
	var all []Spec
	for n, device := range [][2]float64{{300, 300}, {600, 300}, {1440, 720}, {720, 720}, {600, 1000}} {
		for m, angle := range []float64{0, 7.5, 22.5, 45, 52.5, 90, -75, 251} {
			dots := Dots()
			all = append(all, Spec{Kind: Hybrid, FreqLPI: 55, AngleDeg: angle, XDPI: device[0], YDPI: device[1],
				Dot: dots[(3*n+m)%len(dots)], DotUM: float64(40 + 90*(m%4))})
		}
	}
	return all
}

// ranksOf gives each entry its place in the order of compare, equal ones by position.
func ranksOf(size int, compare func(a, b int) int) []uint32 {
	order := make([]int, size)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, compare)
	rank := make([]uint32, size)
	for place, at := range order {
		rank[at] = uint32(place)
	}
	return rank
}

// TestTheOrderOfInkingIsTheSpotFunctionsAndThenTheTieBreaks holds what is ranked over one small supercell and laid side
// by side against every pixel ranked by itself.
func TestTheOrderOfInkingIsTheSpotFunctionsAndThenTheTieBreaks(t *testing.T) {
	for _, s := range orderCases() {
		small := searched(s)
		large := small.grown(100)
		l := large.pixels()
		for _, part := range s.parts() {
			type key struct{ spot, tie uint64 }
			keys := make([]key, l.size())
			for at := range keys {
				i, j, u, v := large.place(at%l.width, at/l.width)
				f, _ := part.Dot.Spot(u, v)
				keys[at] = key{uint64(math.Round((2 - f) * (1 << 30))), tieBreak(i, j)}
			}
			want := ranksOf(len(keys), func(a, b int) int {
				return cmp.Or(cmp.Compare(keys[a].spot, keys[b].spot), cmp.Compare(keys[a].tie, keys[b].tie))
			})
			if got := newOrdering(small, large).by(part.Dot); !slices.Equal(got, want) {
				t.Errorf("%s %g degrees, dot %s: the order differs from the definition", s.name(), s.AngleDeg, part.Dot)
			}
		}
	}
}

// TestAHybridInksWholeLeastDots holds the places of a hybrid's entries against their definition: the least dots' by
// cell, the least holes' by the nearest corner, and those of one dot or hole all in the middle of theirs.
func TestAHybridInksWholeLeastDots(t *testing.T) {
	for n, s := range orderCases() {
		if n%3 != 0 {
			continue // a supercell of 512 cells and more each
		}
		screen := mustNew(t, s)
		small := searched(s)
		c := small.grown(hybridCells)
		cells, order := c.cells(), dotOrder(small, c, s.parts())
		turns := voidAndCluster(cells, 1, maskSeed)
		least := screen.leastDot()
		total := float64(len(order))
		low, high := uint32(least*total), uint32(total-float64(least*total))
		type key struct{ end, turn, place uint32 } // end: 0 least dots, 1 between, 2 least holes
		keys := make([]key, len(order))
		for at, place := range order {
			i, j, u, v := c.place(at%screen.strip.width, at/screen.strip.width)
			switch {
			case place < low:
				keys[at] = key{0, turns[cells.index(i, j)], 0}
			case place < high:
				keys[at] = key{1, 0, place}
			default:
				if u > 0 {
					i++
				}
				if v > 0 {
					j++
				}
				keys[at] = key{2, turns[cells.index(i, j)], 0}
			}
		}
		want := ranksOf(len(keys), func(a, b int) int {
			return cmp.Or(cmp.Compare(keys[a].end, keys[b].end), cmp.Compare(keys[a].turn, keys[b].turn),
				cmp.Compare(keys[a].place, keys[b].place))
		})
		count, first := map[key]uint32{}, map[key]uint32{}
		for at, k := range keys {
			if count[k]++; count[k] == 1 || want[at] < first[k] {
				first[k] = want[at]
			}
		}
		for at, k := range keys {
			if middle := first[k] + count[k]/2; screen.rank[at] != middle {
				t.Fatalf("%s %g degrees: entry %d has place %d, want %d", s.name(), s.AngleDeg, at, screen.rank[at], middle)
			}
		}
	}
}

func TestAPointMovesAsItsLatticeIndexes(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		l := lattice{1 + r.IntN(9), 1 + r.IntN(9), 0}
		l.shift = r.IntN(l.width)
		x, y := r.IntN(100)-50, r.IntN(100)-50
		p := l.point(x, y)
		for range 100 {
			dx, dy := r.IntN(3)-1, r.IntN(3)-1
			p.move(dx, dy)
			if x, y = x+dx, y+dy; p.index() != l.index(x, y) {
				t.Fatalf("%+v at %d, %d: index %d, want %d", l, x, y, p.index(), l.index(x, y))
			}
		}
	}
}
