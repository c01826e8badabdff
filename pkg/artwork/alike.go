package artwork

import (
	"encoding/binary"

	"tamis/pkg/kernel"
)

// stillTolerance is how far, in codes a channel, a neighbour may be to count as equal: JPEG leaves 2 or 3 in flat areas.
const stillTolerance = 3

// alikeKernel tells, as bit i%64 of dst[i/64], whether pixels i of a and b, as many, differ in no channel by more than
// stillTolerance. Bits past the last pixel become 0.
type alikeKernel func(dst []uint64, a, b []uint8)

// alikeAll is the fastest kernel this machine runs, chosen once.
var alikeAll = kernel.Fastest(alikeVariants, alikeGeneric)

// alikeGeneric is the definition.
func alikeGeneric(dst []uint64, a, b []uint8) {
	clear(dst)
	for i := range len(a) / 4 {
		same := uint64(1)
		for c := 4 * i; c < 4*i+4; c++ {
			if d := int(a[c]) - int(b[c]); d > stillTolerance || d < -stillTolerance {
				same = 0
			}
		}
		dst[i/64] |= same << (i % 64)
	}
}

// alikeWords is alikeGeneric without a branch: in each of four lanes the difference and the tolerance, 0..6 where they
// are alike, on a bias that keeps the lanes apart.
//
// Cost: 2.3 ns a pixel.
func alikeWords(dst []uint64, a, b []uint8) {
	const ones, bias = 0x0001_0001_0001_0001, 0x0100_0100_0100_0100
	for i := range dst {
		n := min(64, len(a)/4)
		bits := uint64(0)
		for at := range n {
			d := (lanes(word(a[4*at:])) + bias + stillTolerance*ones - lanes(word(b[4*at:]))) ^ bias
			bits |= ((d|(d+ones))&(0xfff8*ones) - 1) >> 63 << at
		}
		dst[i] = bits
		a, b = a[4*n:], b[4*n:]
	}
}

// lanes spreads four bytes into lanes of 16 bits, in whatever order.
func lanes(w uint32) uint64 { return uint64(w&0x00ff00ff) | uint64(w&0xff00ff00)<<24 }

// word is a pixel as one number.
func word(p []uint8) uint32 { return binary.LittleEndian.Uint32(p) }
