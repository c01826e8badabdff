package halftone

import (
	"math"
	"slices"
)

// spotKeys gives every strip entry a key: the lower, the sooner it inks. The spot function's value is kept to 2^-30,
// far below the step between neighbouring pixels and far above what one machine's rounding differs from another's;
// equal keys are ordered by tieBreak, so that cells of the same phase do not ink from one side of the supercell.
func spotKeys(c supercell, s lattice, d Dot) []uint64 {
	keys := make([]uint64, s.width*s.rows)
	for y := range s.rows {
		for x := range s.width {
			i, j, u, v := c.place(x, y)
			f, _ := d.Spot(u, v)
			keys[y*s.width+x] = uint64(math.Round((2-f)*(1<<30)))<<24 | tieBreak(i, j)
		}
	}
	return keys
}

// tieBreak orders the cells of a supercell so that those that follow one another lie apart: the R2 sequence's rule
// read backwards (multiples of the plastic number's powers, modulo 1), 24 bits. Ours; only the spread matters.
func tieBreak(i, j int) uint64 {
	const g1, g2 = 12664746, 9560334 // 2^24 / 1.32471795724, and that again: the two steps of the sequence
	return uint64(i*g1+j*g2) & (1<<24 - 1)
}

// rankBy gives each entry its place in rising order of key; equal keys go by position.
func rankBy(keys []uint64) []uint32 {
	order := make([]uint32, len(keys))
	for i := range order {
		order[i] = uint32(i)
	}
	slices.SortFunc(order, func(a, b uint32) int {
		switch {
		case keys[a] != keys[b] && keys[a] < keys[b]:
			return -1
		case keys[a] != keys[b]:
			return 1
		}
		return int(a) - int(b)
	})
	rank := make([]uint32, len(keys))
	for place, at := range order {
		rank[at] = uint32(place)
	}
	return rank
}
