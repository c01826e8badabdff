package inflate

// input reads the parts as one row of bits, the lowest of a byte first. The bytes pass through a buffer that stays in the
// cache, so that nothing but more sees where a part ends.
type input struct {
	part  []byte   // what is still to come
	parts [][]byte // what comes after it
	buf   []byte
	in    []byte // what of buf is read: its bytes, and after the very last ones padding of zeros
	pos   int    // the next byte of in that is not yet among the bits
	end   int    // where in's bytes end and its padding begins
	last  bool   // no part is left
	bits  uint64 // the next bits; those from count on are right but do not count
	count uint64 // how many of them count, in the low 6 bits; what is above those means nothing
}

const (
	// bufferBytes is enough that refilling the buffer does not show, and little beside the first cache.
	bufferBytes = 16 << 10
	// ahead is what the loop may read without looking: three refills, of which the last reads eight bytes. A block's
	// header looks by itself.
	ahead = 3 * 8
	// padding is more than ahead, so that whoever comes to its end has read past the stream's.
	padding = 3 * ahead
)

// ensure sees to it that ahead can be read. It gives errCut where the stream's end has been passed.
func (p *input) ensure() error {
	switch {
	case p.pos <= len(p.in)-ahead:
		return nil
	case p.last:
		return errCut
	}
	p.more()
	return nil
}

// more fills the buffer.
func (p *input) more() {
	if p.buf == nil {
		p.buf = make([]byte, bufferBytes+padding)
	}
	from := max(0, p.pos-8) // bits may be given back
	n := copy(p.buf, p.in[from:])
	p.pos -= from
	for n < bufferBytes && !p.last {
		took := copy(p.buf[n:bufferBytes], p.part)
		n += took
		if p.part = p.part[took:]; len(p.part) > 0 {
			continue
		}
		if p.last = len(p.parts) == 0; !p.last {
			p.part, p.parts = p.parts[0], p.parts[1:]
		}
	}
	p.end, p.in = n, p.buf[:n]
	if p.last {
		p.in = p.buf[:n+padding]
		clear(p.in[n:])
	}
}

// overran tells that more was used than there was.
func (p *input) overran() bool { return p.last && p.pos-int(p.count>>3&7) > p.end }

// refill brings the bits to 56 or more. Up to eight bytes are read.
func (p *input) refill() {
	p.bits |= load64(p.in, p.pos) << (p.count & 63)
	p.pos += int(7 - p.count>>3&7)
	p.count |= 56
}

// take uses up to 16 bits, which must be there.
func (p *input) take(n uint64) uint64 {
	v := p.bits & (1<<(n&63) - 1)
	p.bits >>= n & 63
	p.count -= n
	return v
}

// align skips to the next byte and gives back those that are among the bits.
func (p *input) align() {
	p.pos -= int(p.count >> 3 & 7)
	p.bits, p.count = 0, 0
}
