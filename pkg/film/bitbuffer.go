package film

import "encoding/binary"

// bitBuffer gathers code words, first bit first, in bytes from the top bit down. After grow, put only writes.
type bitBuffer struct {
	bytes []byte
	n     int    // whole bytes written
	acc   uint64 // the bits not yet whole bytes, at the top
	bits  uint   // how many, 0..7 after each put
}

func (b *bitBuffer) reset() { b.n, b.acc, b.bits = 0, 0, 0 }

// grow makes room for size bytes more, and for the eight that put writes at once.
func (b *bitBuffer) grow(size int) {
	if need := b.n + size + 16; need > len(b.bytes) {
		b.bytes = append(b.bytes, make([]byte, need)...)
	}
}

// put appends the low n bits of v, n up to 56; the others of v are 0.
func (b *bitBuffer) put(v uint64, n uint) {
	b.acc |= v << (64 - n - b.bits)
	b.bits += n
	binary.BigEndian.PutUint64(b.bytes[b.n:], b.acc)
	whole := b.bits >> 3
	b.n += int(whole)
	b.acc <<= whole * 8
	b.bits &= 7
}

// appendBits appends all of o, which stays as it is.
func (b *bitBuffer) appendBits(o *bitBuffer) {
	b.grow(o.n + 8)
	at, to := 0, b.bytes[b.n:]
	for ; at+8 <= o.n; at += 8 {
		v := binary.BigEndian.Uint64(o.bytes[at:])
		binary.BigEndian.PutUint64(to[at:], b.acc|v>>b.bits)
		b.acc = v << (64 - b.bits)
	}
	b.n += at
	for ; at < o.n; at++ {
		b.put(uint64(o.bytes[at]), 8)
	}
	b.put(o.acc>>(64-o.bits), o.bits)
}

// endOfBlock closes a strip: the end-of-line code twice over, then zeros to a whole byte.
func (b *bitBuffer) endOfBlock() {
	b.grow(8)
	b.put(0x001001, 24)
	b.put(0, 7)
}
