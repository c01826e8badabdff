package separate

import "encoding/binary"

// mixSlack is how many pixels more than there are a row given to a kernel must have room for.
const mixSlack = 8

// rounding is from which fraction of a step, 0..65535, a pixel is rounded up, for every fourth pixel of a row.
type rounding [4]uint16

// mixKernel looks up a row of opaque pixels, four bytes each, of which the fourth is not read: eight bytes of dst a
// pixel, the tones of a group's inks, 0..255. src and dst have mixSlack pixels more than the count; what they hold is
// not read, or left as anything.
type mixKernel func(dst []uint64, src []byte, count int, s *steps, group []uint64, up *rounding)

// mixGeneric is the definition, ink by ink.
func mixGeneric(dst []uint64, src []byte, count int, s *steps, group []uint64, up *rounding) {
	for x := range count {
		n0, n1, n2, n3, w0, w1, w2, w3 := s.place(src[4*x], src[4*x+1], src[4*x+2])
		dst[x] = 0
		for k := range groupInks {
			sum := nodeTone(group, n0, k)*w0 + nodeTone(group, n1, k)*w1 + nodeTone(group, n2, k)*w2 + nodeTone(group, n3, k)*w3
			dst[x] |= uint64((sum+uint32(up[x%4]))>>16) << (8 * k)
		}
	}
}

// mixWords is mixGeneric four inks at a time: two words of two 32-bit halves, which never meet. Equal neighbours are
// looked up once.
//
// Cost: 4 loads and 16 multiplications a pixel; 8 ns.
func mixWords(dst []uint64, src []byte, count int, s *steps, group []uint64, up *rounding) {
	const evens, off = 0x0000_ffff_0000_ffff, 0x8000_8000_8000_8000
	dst, src = dst[:count], src[:4*count]
	var e0, o0, e1, o1 uint64 // tones of inks 0 and 2, 1 and 3, 4 and 6, 5 and 7
	last := uint32(0)
	for x := range dst {
		px := binary.LittleEndian.Uint32(src[4*x:]) &^ (0xff << 24)
		if px != last || x == 0 {
			last = px
			i0, i1, i2, i3, f0, f1, f2, f3 := s.place(uint8(px), uint8(px>>8), uint8(px>>16))
			n0, n1, n2, n3 := group[2*i0:][:2], group[2*i1:][:2], group[2*i2:][:2], group[2*i3:][:2]
			w0, w1, w2, w3 := uint64(f0), uint64(f1), uint64(f2), uint64(f3)
			a0, a1, a2, a3 := n0[0]^off, n1[0]^off, n2[0]^off, n3[0]^off
			b0, b1, b2, b3 := n0[1]^off, n1[1]^off, n2[1]^off, n3[1]^off
			e0 = a0&evens*w0 + a1&evens*w1 + a2&evens*w2 + a3&evens*w3
			o0 = a0>>16&evens*w0 + a1>>16&evens*w1 + a2>>16&evens*w2 + a3>>16&evens*w3
			e1 = b0&evens*w0 + b1&evens*w1 + b2&evens*w2 + b3&evens*w3
			o1 = b0>>16&evens*w0 + b1>>16&evens*w1 + b2>>16&evens*w2 + b3>>16&evens*w3
		}
		add := uint64(up[x%4])
		add |= add << 32
		dst[x] = closed(e0+add, o0+add) | closed(e1+add, o1+add)<<32
	}
}

// closed brings the whole steps of four tones, two a word, side by side.
func closed(even, odd uint64) uint64 {
	const low = 0x0000_00ff_0000_00ff
	v := even>>16&low | odd>>8&(low<<8)
	return (v | v>>16) & 0xffff_ffff
}
