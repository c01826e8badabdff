package film

import (
	"encoding/binary"
	"math/bits"
)

// changes16 is changes in two bytes an entry, little-endian, for quads: 0 for the one before the first, then the
// changes, then sentinels at width. list has room for every pixel and quadSlack more.
func changes16(list []byte, row []uint64, width int, lister listKernel) {
	if len(row) > (width+63)/64 || len(list) < 2*(width+2+quadSlack) {
		panic("film: a row wider than its list")
	}
	put16(list, 0, 0)
	n := 1 + lister(list[2:], row)
	if at16(list, n-1) == width { // ink up to the last column, and 0 bits after it
		n--
	}
	for i := range 6 {
		put16(list, n+i, width)
	}
}

// listKernel writes the columns where a row's colour changes, white standing before the first, and says how many there
// are. It may write anything into the quadSlack entries after them; the lengths are as changes16 has checked them.
type listKernel func(list []byte, row []uint64) (count int)

// listGeneric is the definition, one pixel at a time.
func listGeneric(list []byte, row []uint64) (count int) {
	var before uint64
	for x := range len(row) * 64 {
		ink := row[x>>6] >> (x & 63) & 1
		if ink != before {
			put16(list, count, x)
			count++
		}
		before = ink
	}
	return count
}

// listByZeros is listGeneric by counting zeros: the changes of a word are the ones of its difference from itself moved
// by a pixel. Four are written for every word that has any, then as many counted as there were: cheaper than a branch a
// change.
//
// Cost: 1 ns a change; 0.07 ns a pixel of a halftone.
func listByZeros(list []byte, row []uint64) (count int) {
	var carry uint64
	for i, w := range row {
		edges := w ^ (w<<1 | carry)
		carry = w >> 63
		if edges == 0 {
			continue
		}
		at, four := i<<6, list[2*count:][:8]
		count += bits.OnesCount64(edges)
		for k := range 4 {
			put16(four, k, at+bits.TrailingZeros64(edges))
			edges &= edges - 1
		}
		for from := count - bits.OnesCount64(edges); edges != 0; from++ {
			put16(list, from, at+bits.TrailingZeros64(edges))
			edges &= edges - 1
		}
	}
	return count
}

func at16(list []byte, n int) int     { return int(binary.LittleEndian.Uint16(list[2*n:])) }
func put16(list []byte, n, value int) { binary.LittleEndian.PutUint16(list[2*n:], uint16(value)) }
