package film

import (
	"math/bits"

	"tamis/pkg/kernel"
)

// quads codes rows of up to quadsWidth pixels, four changes at a time. In a halftone nearly every change lies within
// three pixels of one above, in the same order, so that four vertical codes are one look-up.
//
// The lists are changes16's.
type quads struct {
	width    int
	codes    *codes
	ref, cur []byte
	out      *bitBuffer
	lister   listKernel
}

// quadsWidth is the widest row: differences of columns then keep their sign in 16 bits, see code.
const quadsWidth = 65500

// quadSlack is how many entries lie past a list's last change: sentinels, and what is read or written blindly: a kernel
// of 512 bits stores 32 from any place.
const quadSlack = 40

func newQuads(width int, c *codes) *quads {
	size := 2 * (width + 2 + quadSlack)
	return &quads{width: width, codes: c, ref: make([]byte, size), cur: make([]byte, size),
		lister: kernel.Fastest(listVariants, listGeneric)}
}

func (e *quads) start(above []uint64, out *bitBuffer) {
	e.out = out
	changes16(e.ref, above, e.width, e.lister)
}

func (e *quads) row(row []uint64) {
	changes16(e.cur, row, e.width, e.lister)
	e.out.grow(e.width)
	e.code()
	e.ref, e.cur = e.cur, e.ref
}

// code is changeCoder.code. As long as a1 and b1 move on together it goes four changes at a time, in four lanes of 16
// bits; a lane is good where a1 lies within three pixels of b1, left of the change after b1 (so that b1 moves on) and
// not left of the one before (so that it need not move back). Each test is one subtraction of whole words: up to the
// first bad lane no lane borrows from the next, and only that first one is asked for. A run of more than 32767 pixels
// makes a lane seem bad: the single step below codes any change.
//
// Cost: 43 operations a quad and, at each change of mode, one branch that cannot be foreseen.
//
// long: the buffer's state stays in registers for the row.
func (e *quads) code() {
	const ones = 0x0001_0001_0001_0001
	cur, ref, table, width := e.cur, e.ref, &e.codes.quads, e.width
	to, n, acc, held := e.out.bytes, e.out.n, e.out.acc, e.out.bits
	a0, i, b := 0, 1, 1 // as in changeCoder.code
	for {
		for {
			c, r := kernel.Load64(cur, 2*i), kernel.Load64(ref, 2*b)
			x := c - r + 3*ones
			after, before := kernel.Load64(ref, 2*b+2)-c-ones, c-kernel.Load64(ref, 2*b-2)
			bad := (x|(x+ones))&(0xfff8*ones) | (after|before)&(0x8000*ones)
			good := 4
			if bad != 0 {
				low := uint(bits.TrailingZeros64(bad)) & 0x30
				good = int(low >> 4)
				x |= ^uint64(0) << low // 7 is the empty code
			}
			code := table[(x&(7*ones))*(1<<48|1<<35|1<<22|1<<9)>>48&0xfff]
			n, acc, held = emit(to, n, acc, held, code&0xffff_ffff, uint(code>>32))
			i, b = i+good, b+good
			if bad != 0 {
				break
			}
		}
		a0 = max(a0, at16(cur, i-1))
		a1, b1, b2 := at16(cur, i), at16(ref, b), at16(ref, b+1)
		if b2 < a1 { // pass mode; b1 for a0 = b2 is the second after it
			n, acc, held = emit(to, n, acc, held, 0b0001, 4)
			a0, b = b2, b+2
			continue
		}
		if d := a1 - b1; -3 <= d && d <= 3 {
			c := e.codes.vertical[d+3]
			n, acc, held = emit(to, n, acc, held, uint64(c&codeBits), uint(c>>27))
			a0, i = a1, i+1
		} else if a2 := at16(cur, i+1); a1-a0 <= longestRun && a2-a1 <= longestRun {
			code, length := e.codes.horizontal(1-i&1, a1-a0, a2-a1)
			n, acc, held = emit(to, n, acc, held, code, length)
			a0, i = a2, i+2
		} else {
			e.out.n, e.out.acc, e.out.bits = n, acc, held
			e.out.horizontal(e.codes, 1-i&1, a1-a0, a2-a1)
			n, acc, held = e.out.n, e.out.acc, e.out.bits
			a0, i = a2, i+2
		}
		if a0 >= width {
			break
		}
		b = nextB16(ref, b, i, a0, width)
	}
	e.out.n, e.out.acc, e.out.bits = n, acc, held
}

// nextB16 is nextB1 for quads.
func nextB16(ref []byte, b, i, a0, width int) int {
	for b > 1 && at16(ref, b-1) > a0 {
		b--
	}
	for at16(ref, b) <= a0 && at16(ref, b) < width {
		b++
	}
	if (b^i)&1 != 0 && at16(ref, b) < width {
		b++
	}
	return b
}

// emit is bitBuffer.put on values: the low length bits of code, up to 56.
func emit(to []byte, n int, acc uint64, held uint, code uint64, length uint) (int, uint64, uint) {
	held += length
	acc |= code << ((64 - held) & 63)
	kernel.StoreBig64(to, n, acc)
	return n + int(held>>3), acc << (held &^ 7 & 63), held & 7
}
