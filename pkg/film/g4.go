package film

import (
	"encoding/binary"
	"math/bits"
	"strconv"
	"strings"
)

// longestRun is the largest run one pair of make-up and terminating codes says; longer runs repeat its make-up code.
const longestRun = 2560 + 63

// codes holds code words with their lengths: bits in the low 27, their number in the top 5.
type codes struct {
	runs     [2][longestRun + 1]uint32 // make-up and terminating joined; 0 white, 1 black
	vertical [8]uint32                 // for a change 3 left .. 3 right of the one above
}

// newCodes joins the tables of T.4 and takes the vertical modes of T.6, table 1.
func newCodes() *codes {
	c := new(codes)
	for colour, tables := range [2][2]string{{whiteTerminating(), whiteMakeUp()}, {blackTerminating(), blackMakeUp()}} {
		ends, makeUps := strings.Fields(tables[0]), strings.Fields(tables[1])
		for run := range longestRun + 1 {
			word := ends[run%64]
			if run >= 64 {
				word = makeUps[run/64-1] + word
			}
			c.runs[colour][run] = parseCode(word)
		}
	}
	for i, word := range [7]string{"0000010", "000010", "010", "1", "011", "000011", "0000011"} {
		c.vertical[i] = parseCode(word)
	}
	return c
}

// parseCode turns a code word as the Recommendations print it into bits and length.
func parseCode(word string) uint32 {
	v, err := strconv.ParseUint(word, 2, 27)
	if err != nil {
		panic("film: " + err.Error()) // the tables are our own
	}
	return uint32(v) | uint32(len(word))<<27
}

// encoder writes rows of one width as ITU-T T.6 (Group 4). Each row is coded against the one before it; the first
// against white. Ink is black.
type encoder struct {
	width    int
	codes    *codes
	ref, cur []int32 // where colour changes in the row before and in this one, as changes lists them
	out      *bitBuffer
}

// sentinels end a list of changes: the coding looks up to two past the last.
const sentinels = 4

func newEncoder(width int, c *codes) *encoder {
	e := &encoder{width: width, codes: c}
	e.ref, e.cur = make([]int32, width+sentinels+2), make([]int32, width+sentinels+2)
	return e
}

// start begins a run of rows that are coded into out; above is the row above the first, nil for white.
func (e *encoder) start(above []uint64, out *bitBuffer) {
	e.out = out
	changes(e.ref, above, e.width)
}

// row codes one row, words as in raster.Bitmap, bits past the width 0.
func (e *encoder) row(row []uint64) {
	changes(e.cur, row, e.width)
	e.out.grow(e.width)
	e.code()
	e.ref, e.cur = e.cur, e.ref
}

// changes lists the columns where a row's colour changes, white standing before the first: a -1, so that there is
// always one before, then from place 1 the changes, those to black at odd places, then sentinels at width.
func changes(list []int32, row []uint64, width int) {
	list[0] = -1
	n := 1
	var carry uint64
	for i, w := range row {
		edges := w ^ (w<<1 | carry)
		carry = w >> 63
		for ; edges != 0; edges &= edges - 1 {
			list[n] = int32(i<<6 + bits.TrailingZeros64(edges))
			n++
		}
	}
	if list[n-1] == int32(width) { // ink up to the last column, and 0 bits after it
		n--
	}
	for i := range sentinels {
		list[n+i] = int32(width)
	}
}

// code codes the list cur against the list ref. Names are the Recommendation's: a0 is the last place coded, a1 and a2
// the changes after it in this row, b1 and b2 those above: b1 the first right of a0 that is to a1's colour.
func (e *encoder) code() {
	ref, cur, width := e.ref, e.cur, int32(e.width)
	a0 := int32(-1)
	i, b := 1, 1 // the places of a1 and of b1; both odd or both even
	for a0 < width {
		b = nextB1(ref, b, i, a0, width)
		a1, b1, b2 := cur[i], ref[b], ref[b+1]
		switch {
		case b2 < a1: // pass mode
			e.out.put(0b0001, 4)
			a0 = b2
		case a1-b1 <= 3 && b1-a1 <= 3:
			i, b = e.verticals(i, b)
			a0 = cur[i-1]
		default: // horizontal mode
			a2 := cur[i+1]
			e.out.put(0b001, 3)
			e.run(1-i&1, int(a1-max(a0, 0)))
			e.run(i&1, int(a2-a1))
			a0 = a2
			i += 2
		}
	}
}

// nextB1 finds b1's place, starting from b.
func nextB1(ref []int32, b, i int, a0, width int32) int {
	for b > 1 && ref[b-1] > a0 {
		b--
	}
	for ref[b] <= a0 && ref[b] < width {
		b++
	}
	if (b^i)&1 != 0 && ref[b] < width {
		b++
	}
	return b
}

// verticals codes a1 against b1 in vertical mode, which the caller has found to hold, and goes on as long as it does
// for the changes that follow and b1 moves on by one with a1: nearly always, in a halftone. It gives where a1 and b1
// then stand; b1 may want to be looked for anew.
//
// The buffer's state is kept in registers here: this loop makes most of the strip.
func (e *encoder) verticals(i, b int) (int, int) {
	cur, ref, table, out := e.cur, e.ref, &e.codes.vertical, e.out
	bytes, n, acc, bits := out.bytes, out.n, out.acc, out.bits
	for {
		a1 := cur[i]
		d := uint32(a1 - ref[b] + 3)
		if d > 6 {
			break
		}
		c := table[d&7]
		length := uint(c >> 27)
		bits += length
		acc |= uint64(c&(1<<27-1)) << ((64 - bits) & 63)
		binary.BigEndian.PutUint64(bytes[n:], acc)
		n += int(bits >> 3)
		acc <<= bits &^ 7 & 63
		bits &= 7
		i++
		if ref[b+1] <= a1 || ref[b-1] > a1 {
			break
		}
		if b++; ref[b+1] < cur[i] {
			break
		}
	}
	out.n, out.acc, out.bits = n, acc, bits
	return i, b
}

// run codes one run of a colour, 0 white, 1 black.
func (e *encoder) run(colour, length int) {
	for length > longestRun {
		e.out.put(0b000000011111, 12) // make-up 2560
		length -= 2560
	}
	c := e.codes.runs[colour][length]
	e.out.put(uint64(c&(1<<27-1)), uint(c>>27))
}
