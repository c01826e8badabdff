package inflate

import "tamis/pkg/kernel"

// input reads the parts as one row of bits, the lowest of a byte first. A long part is read where it is; what stands
// around the ends of parts passes through a buffer, so that nothing but more sees where a part ends.
type input struct {
	part   []byte   // what is still to come
	parts  [][]byte // what comes after it
	buf    []byte
	joined int    // how many of the buffer's last bytes are part's first, read there next
	in     []byte // what is read: of a part or of buf, and after the very last bytes padding of zeros
	pos    int    // the next byte of in that is not yet among the bits
	end    int    // where in's bytes end and its padding begins
	last   bool   // no part is left
	bits   uint64 // the next bits; those from count on are right but do not count
	count  uint64 // how many of them count, in the low 6 bits; what is above those means nothing
}

const (
	// bufferBytes is for many short parts at once.
	bufferBytes = 4 << 10
	// long is the bytes of a part that is read where it is, joining those of one that are read in the buffer: more than
	// ahead, so that what may be given back is in the part, and less than long.
	long    = 1 << 10
	joining = 2 * (ahead + 8)
	// ahead is what the loop may read without looking: three refills, of which the last reads eight bytes.
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

// more goes on where little more than ahead is left: in the part whose beginning was read in the buffer, or in the buffer
// with what is left and what comes next.
func (p *input) more() {
	if p.joined > 0 {
		p.pos -= p.end - p.joined
		p.in, p.end = p.part, len(p.part)
		p.part, p.joined = nil, 0
		return
	}
	if p.buf == nil {
		p.buf = make([]byte, bufferBytes+padding)
	}
	from := max(0, p.pos-8) // bits may be given back
	n := copy(p.buf, p.in[from:])
	p.pos -= from
	for n < bufferBytes-joining && !p.last && p.joined == 0 {
		switch {
		case len(p.part) >= long:
			p.joined = copy(p.buf[n:], p.part[:joining])
			n += p.joined
		case len(p.part) > 0:
			took := copy(p.buf[n:bufferBytes], p.part)
			n, p.part = n+took, p.part[took:]
		case len(p.parts) > 0:
			p.part, p.parts = p.parts[0], p.parts[1:]
		default:
			p.last = true
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
	p.bits |= kernel.Load64(p.in, p.pos) << (p.count & 63)
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
