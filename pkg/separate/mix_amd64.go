//go:build !purego

package separate

import (
	"golang.org/x/sys/cpu"

	"tamis/pkg/kernel"
)

// mixVariants are the kernels, the fastest first.
var mixVariants = []kernel.Variant[mixKernel]{{Name: "avx2", Able: cpu.X86.HasAVX2, Run: mixAVX2}, {Name: "words", Able: true, Run: mixWords}}

// mixBlocks looks up eight pixels a block. separate/_asm writes it.
//
//go:noescape
func mixBlocks(dst []uint64, src []byte, blocks int, s *steps, group []uint64, c *mixConstants)

// mixConstants are what mixBlocks takes from memory, so that the code has none of the table's figures.
type mixConstants struct {
	up       [2][8]uint32 // what rounds pixels 0 and 1 of four, and 2 and 3: with 128 x 65536 for the nodes' offset
	lanes    [4][8]uint32 // for VPERMD: pixel 2i in the low half, 2i+1 in the high one
	strides  [4]uint32    // bytes to the next node along each axis, and along all three
	cellMask uint32
	whole    uint32 // 256
}

func newMixConstants(up *rounding) mixConstants {
	const nodeBytes, offTone = 16, offNode * 256
	c := mixConstants{strides: [4]uint32{strideR * nodeBytes, strideG * nodeBytes, strideB * nodeBytes,
		(strideR + strideG + strideB) * nodeBytes}, cellMask: cellMask, whole: 256}
	for i := range 8 {
		for pair := range c.up {
			c.up[pair][i] = uint32(up[2*pair+i/4]) + offTone
		}
		for pair := range c.lanes {
			c.lanes[pair][i] = uint32(2*pair + i/4)
		}
	}
	return c
}

// mixAVX2 is mixGeneric eight pixels at a time: where they lie in the table is worked out side by side, then each
// node's eight inks are one load.
//
// Cost: some 25 instructions a pixel; 3.7 ns.
func mixAVX2(dst []uint64, src []byte, count int, s *steps, group []uint64, up *rounding) {
	blocks := (count + 7) / 8
	c := newMixConstants(up)
	mixBlocks(dst[:8*blocks], src[:32*blocks], blocks, s, group, &c)
}
