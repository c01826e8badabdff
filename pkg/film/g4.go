package film

import (
	"math/bits"
	"strconv"
	"strings"
)

// longestRun is the largest run one pair of make-up and terminating codes says; longer runs repeat its make-up code.
const longestRun = 2560 + 63

// codes holds every run's code words, make-up and terminating joined: bits in the low 27, their number in the top 5.
type codes [2][longestRun + 1]uint32

// newCodes joins the tables of T.4. colour 0 is white, 1 black.
func newCodes() *codes {
	c := new(codes)
	for colour, tables := range [2][2]string{{whiteTerminating(), whiteMakeUp()}, {blackTerminating(), blackMakeUp()}} {
		ends, makeUps := strings.Fields(tables[0]), strings.Fields(tables[1])
		for run := range longestRun + 1 {
			word := ends[run%64]
			if run >= 64 {
				word = makeUps[run/64-1] + word
			}
			v, err := strconv.ParseUint(word, 2, 27)
			if err != nil {
				panic("film: " + err.Error()) // the tables are our own
			}
			c[colour][run] = uint32(v) | uint32(len(word))<<27
		}
	}
	return c
}

// encoder writes rows of one width as ITU-T T.6 (Group 4). Each row is coded against the one before it; the first
// against white. Ink is black.
type encoder struct {
	width    int
	codes    *codes
	ref, cur []int32 // where colour changes in the row before and in this one, then sentinels at width
	out      *bitBuffer
}

// sentinels end a list of changes: the coding looks up to this many past the last.
const sentinels = 8

func newEncoder(width int, c *codes) *encoder {
	e := &encoder{width: width, codes: c}
	e.ref, e.cur = make([]int32, width+sentinels+1), make([]int32, width+sentinels+1)
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

// changes lists the columns where a row's colour changes, white standing before the first, then sentinels at width.
func changes(list []int32, row []uint64, width int) {
	n := 0
	var carry uint64
	for i, w := range row {
		edges := w ^ (w<<1 | carry)
		carry = w >> 63
		for ; edges != 0; edges &= edges - 1 {
			list[n] = int32(i<<6 + bits.TrailingZeros64(edges))
			n++
		}
	}
	if n > 0 && list[n-1] == int32(width) { // ink up to the last column, and 0 bits after it
		n--
	}
	for i := range sentinels {
		list[n+i] = int32(width)
	}
}

// code codes the list cur against the list ref.
//
// a0 is the last coded place, b the index of b1 in ref: the first change right of a0 to the colour opposite a0's.
func (e *encoder) code() {
	width := int32(e.width)
	a0, colour := int32(0), 0
	i, b := 0, 0
	first := true
	for a0 < width {
		for b > 0 && e.ref[b-1] > a0 {
			b--
		}
		for e.ref[b] < width && (e.ref[b] < a0 || (e.ref[b] == a0 && !first) || b&1 != colour) {
			b++
		}
		a1, b1, b2 := e.cur[i], e.ref[b], e.ref[b+1]
		if b1 == width {
			b2 = width
		}
		switch d := a1 - b1; {
		case b2 < a1:
			e.out.put(0b0001, 4)
			a0 = b2
		case d >= -3 && d <= 3:
			e.out.vertical(d)
			a0, colour = a1, colour^1
			i++
		default:
			a2 := e.cur[i+1]
			if a1 == width {
				a2 = width
			}
			e.out.put(0b001, 3)
			e.run(colour, int(a1-a0))
			e.run(colour^1, int(a2-a1))
			a0 = a2
			i += 2
		}
		first = false
	}
}

// run codes one run of a colour.
func (e *encoder) run(colour, length int) {
	for length > longestRun {
		e.out.put(0b000000011111, 12) // make-up 2560
		length -= 2560
	}
	c := e.codes[colour][length]
	e.out.put(uint64(c&(1<<27-1)), uint(c>>27))
}

// vertical appends the code for a change d right (left: negative) of the one above.
func (b *bitBuffer) vertical(d int32) {
	code := [7]struct {
		v uint64
		n uint
	}{{0b0000010, 7}, {0b000010, 6}, {0b010, 3}, {0b1, 1}, {0b011, 3}, {0b000011, 6}, {0b0000011, 7}}[d+3]
	b.put(code.v, code.n)
}
