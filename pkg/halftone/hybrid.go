package halftone

import "math"

// hybridCells is the least number of cells in a hybrid's supercell: the scattered least dots repeat with it.
const hybridCells = 512

// hybridise ranks a supercell so that the lightest tones scatter whole least dots over the cells in void-and-cluster
// order, the mid-tones grow all dots together, and the darkest scatter the closing of whole least holes. Each step
// starts where the one before ended, so no tone jumps.
func (s *Screen) hybridise() {
	small := searched(s.Spec)
	c := small.grown(hybridCells)
	s.setGrid(c)
	s.DotXUM, s.DotYUM = s.Spec.DotUM, s.Spec.DotUM
	s.rank = dotOrder(small, c, s.Spec.parts())
	s.ranks = len(s.rank)
	cells := c.cells()
	order := voidAndCluster(cells, 1, maskSeed)
	total, least := float64(s.ranks), s.leastDot()
	low, high := uint32(float64(least*total)), uint32(total-float64(least*total))
	s.gather(small, 0, cells, order, 0, low)
	s.gather(small, small.toCorners(), cells, order, high, uint32(s.ranks))
}

// leastDot is the share of the area that least dots in every cell take, at most a quarter.
func (s *Screen) leastDot() float64 {
	r := s.Spec.DotUM / 2 * s.ActualLPI / 25400
	return min(math.Pi*r*r, 0.25)
}

// toCorners is how much earlier a walk takes the cells to go from corner to corner: the cell (i, j) it then stands in
// is the nearest corner's, the one where the cells (i, j) and (i-1, j-1) meet. A pixel half-way is of the corner before.
func (c supercell) toCorners() int { return c.area() - 1 }

// gather lets the entries whose places are from..to-1 ink a cell at a time, in the order of the cells: the least dots by
// cell, the least holes, which lie at the cells' corners, by corner. Those of one cell share the place in the middle of
// theirs, so that no part of a dot is ever printed. The tone is then right to half a dot in the supercell.
func (s *Screen) gather(c supercell, earlier int, cells lattice, order []uint32, from, to uint32) {
	type part struct{ at, n, turn int } // a stretch that has some of them
	var parts []part
	middle := make([]uint32, len(order)) // by turn: at first how many entries there are
	c.eachStretch(s.strip, earlier, cells, func(at, n, cell int) {
		count := uint64(0)
		for _, place := range s.rank[at : at+n] {
			count += (uint64(place-from) - uint64(to-from)) >> 63 // 1 where it is among them, with no branch
		}
		if count > 0 {
			turn := int(order[cell])
			middle[turn] += uint32(count)
			parts = append(parts, part{at, n, turn})
		}
	})
	start := from
	for turn, count := range middle {
		middle[turn] = start + count/2
		start += count
	}
	for _, p := range parts {
		place, stretch := middle[p.turn], s.rank[p.at:p.at+p.n]
		for i, own := range stretch {
			if own-from < to-from {
				own = place
			}
			stretch[i] = own
		}
	}
}
