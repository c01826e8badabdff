package film

import "math/bits"

// encoder writes rows of one width as ITU-T T.6 (Group 4). Each row is coded against the one before it; the first
// against white. Ink is black.
type encoder interface {
	// start begins a run of rows that are coded into out; above is the row above the first, nil for white.
	start(above []uint64, out *bitBuffer)
	// row codes one row, words as in raster.Bitmap, bits past the width 0.
	row(row []uint64)
}

// newEncoder picks the fastest coder for a width.
func newEncoder(width int, c *codes) encoder {
	if width <= quadsWidth {
		return newQuads(width, c)
	}
	return newChanges(width, c)
}

// changeCoder codes from lists of changes, one at a time, rows of any width: the definition, and what quads is tested
// against.
type changeCoder struct {
	width    int
	codes    *codes
	ref, cur []int32 // where colour changes in the row before and in this one, as changes lists them
	out      *bitBuffer
}

// sentinels end a list of changes: the coding looks up to two past the last.
const sentinels = 4

func newChanges(width int, c *codes) *changeCoder {
	e := &changeCoder{width: width, codes: c}
	e.ref, e.cur = make([]int32, width+sentinels+2), make([]int32, width+sentinels+2)
	return e
}

func (e *changeCoder) start(above []uint64, out *bitBuffer) {
	e.out = out
	changes(e.ref, above, e.width)
}

func (e *changeCoder) row(row []uint64) {
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
func (e *changeCoder) code() {
	ref, cur, width := e.ref, e.cur, int32(e.width)
	a0 := int32(-1)
	i, b := 1, 1 // the places of a1 and of b1; both odd or both even
	for a0 < width {
		b = nextB1(ref, b, i, a0, width)
		a1, b1, b2 := cur[i], ref[b], ref[b+1]
		switch d := a1 - b1; {
		case b2 < a1: // pass mode
			e.out.put(0b0001, 4)
			a0 = b2
		case -3 <= d && d <= 3: // vertical mode
			c := e.codes.vertical[d+3]
			e.out.put(uint64(c&codeBits), uint(c>>27))
			a0 = a1
			i++
		default: // horizontal mode
			a2 := cur[i+1]
			e.out.horizontal(e.codes, 1-i&1, int(a1-max(a0, 0)), int(a2-a1))
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

// horizontal codes two runs, the first of a colour 0 white or 1 black.
func (b *bitBuffer) horizontal(c *codes, colour, first, second int) {
	if first <= longestRun && second <= longestRun {
		b.put(c.horizontal(colour, first, second))
		return
	}
	b.put(0b001, 3)
	b.run(c, colour, first)
	b.run(c, 1-colour, second)
}

// run codes one run of a colour.
func (b *bitBuffer) run(c *codes, colour, length int) {
	for length > longestRun {
		b.put(0b000000011111, 12) // make-up 2560
		length -= 2560
	}
	word := c.runs[colour][length]
	b.put(uint64(word&codeBits), uint(word>>27))
}
