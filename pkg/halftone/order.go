package halftone

import "math"

// ordering ranks the entries of a supercell's strip by one dot or another. The supercell is a smaller one laid side by
// side, whose entries all copies share a spot function's values with; what orders those is which cell they are of.
type ordering struct {
	small      supercell
	once, many lattice  // the strip of the smaller supercell, and of the larger
	stretches  []uint64 // of the larger one's entries that lie in one cell, in the order of tieBreak; see stretchBits
}

// A stretch is one word: tieBreak's 24 bits, then its first entry in 22, then how many there are in 18.
const (
	entryBits  = 22 // maxSupercellPX entries
	lengthBits = 18
)

func newOrdering(small, large supercell) *ordering {
	o := &ordering{small: small, once: small.pixels(), many: large.pixels()}
	o.stretches = make([]uint64, 0, o.many.rows*small.mostStretches(o.many.width))
	for y := range o.many.rows {
		w := small.walk(y, 0)
		for x := 0; x < o.many.width; {
			n := min(w.left(), o.many.width-x, 1<<lengthBits-1)
			at := uint64(y*o.many.width + x)
			o.stretches = append(o.stretches, (tieBreak(w.i.cell, w.j.cell)<<entryBits|at)<<lengthBits|uint64(n))
			w.move(n)
			x += n
		}
	}
	o.stretches = sorted(o.stretches, entryBits+lengthBits)
	return o
}

// by gives each entry its place in the order of inking under dot d: the first to ink is 0. Entries for which the spot
// function is the same are ordered by tieBreak, so that cells of the same phase do not ink from one side of the
// supercell, and then by position.
func (o *ordering) by(d Dot) []uint32 {
	groups, next := o.groups(d)
	rank := make([]uint32, o.many.size())
	for y := range o.many.rows {
		row := groups[mod(y, o.once.rows)*o.once.width:][:o.once.width]
		repeat(rank[y*o.many.width:][:o.many.width], row, o.once.column(y))
	}
	for _, s := range o.stretches {
		at, n := s>>lengthBits&(1<<entryBits-1), s&(1<<lengthBits-1)
		stretch := rank[at : at+n]
		for i, group := range stretch {
			stretch[i] = next[group]
			next[group]++
		}
	}
	return rank
}

// groups numbers the values of the spot function in the order of inking: which each entry of the smaller supercell has,
// and how many entries of the larger ink before each.
func (o *ordering) groups(d Dot) (of, start []uint32) {
	of = make([]uint32, o.once.size())
	copies := uint32(o.many.size() / o.once.size())
	last := uint64(math.MaxUint64)
	for n, k := range sorted(o.spotKeys(d), entryBits) {
		if k>>entryBits != last {
			last = k >> entryBits
			start = append(start, uint32(n)*copies)
		}
		of[k&(1<<entryBits-1)] = uint32(len(start) - 1)
	}
	return of, start
}

// spotKeys gives every entry of the smaller supercell a key, the lower, the sooner it inks, over the entry's number in
// entryBits. The spot function's value is kept to 2^-30, far below the step between neighbouring pixels and far above
// what one machine's rounding differs from another's.
func (o *ordering) spotKeys(d Dot) []uint64 {
	keys := make([]uint64, o.once.size())
	for y := range o.once.rows {
		w := o.small.walk(y, 0)
		for x := range o.once.width {
			at := y*o.once.width + x
			f, _ := d.Spot(w.place())
			keys[at] = uint64(math.Round((2-f)*(1<<30)))<<entryBits | uint64(at)
			w.move(1)
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

// repeat fills dst with a row that comes back at its end, from its given column on.
func repeat(dst, row []uint32, column int) {
	n := copy(dst, row[column:])
	for n < len(dst) {
		n += copy(dst[n:], row)
	}
}
