package halftone

import "math"

// hybridCells is the least number of cells in a hybrid's supercell: the scattered least dots repeat with it.
const hybridCells = 512

// hybridise ranks a supercell so that the lightest tones scatter whole least dots over the cells in void-and-cluster
// order, the mid-tones grow all dots together, and the darkest scatter the closing of whole least holes. Each step
// starts where the one before ended, so no tone jumps.
func (s *Screen) hybridise() {
	c := findSupercell(s.Spec, hybridCells)
	s.setGrid(c)
	s.DotXUM, s.DotYUM = s.Spec.DotUM, s.Spec.DotUM
	order := dotOrder(c, s.strip, s.Spec.parts())
	keys := s.hybridKeys(c, order)
	s.rank = rankBy(keys)
	s.ranks = len(s.rank)
	share(s.rank, keys, wholeDots)
}

// wholeDots groups the entries of one least dot, and of one least hole, so that no part of one is ever printed. The tone
// is then right to half a dot in the supercell.
func wholeDots(key uint64) uint64 {
	if key>>32 == middle>>32 {
		return key
	}
	return key >> 32
}

// The keys' upper halves: a cell's number for a least dot, then one value for all mid-tones, then holes plus a cell's.
const (
	middle = 1 << 60
	holes  = 1 << 61
)

// leastDot is the share of the area that least dots in every cell take, at most a quarter.
func (s *Screen) leastDot() float64 {
	r := s.Spec.DotUM / 2 * s.ActualLPI / 25400
	return min(math.Pi*r*r, 0.25)
}

// hybridKeys orders the entries: those the least dots cover by cell, those the least holes (which lie at the cells'
// corners) cover by corner, the rest between the two as before.
func (s *Screen) hybridKeys(c supercell, order []uint32) []uint64 {
	cells := c.cells()
	cellOrder := voidAndCluster(cells, 1, maskSeed)
	keys := make([]uint64, len(order))
	total := float64(len(order))
	least := s.leastDot()
	low, high := uint32(least*total), uint32(total-least*total)
	for y := range s.strip.rows {
		for x := range s.strip.width {
			i, j, u, v := c.place(x, y)
			at := y*s.strip.width + x
			cell := uint64(cellOrder[cells.index(i, j)])
			corner := uint64(cellOrder[cells.index(nearCorner(i, u), nearCorner(j, v))])
			switch place := order[at]; {
			case place < low:
				keys[at] = cell<<32 | uint64(place)
			case place < high:
				keys[at] = middle | uint64(place)
			default:
				keys[at] = holes | corner<<32 | uint64(place)
			}
		}
	}
	return keys
}

// nearCorner is the index, along one axis, of the cell corner nearest to u in cell i.
func nearCorner(i int, u float64) int {
	if u > 0 {
		return i + 1
	}
	return i
}
