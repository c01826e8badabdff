//go:build !purego

package halftone

import (
	"golang.org/x/sys/cpu"

	"tamis/pkg/kernel"
)

// rowVariants are the kernels, the fastest first.
var rowVariants = []kernel.Variant[rowKernel]{{Name: "avx2", Able: cpu.X86.HasAVX2, Run: rowAVX2}, {Name: "words", Able: true, Run: rowWords}}

// rowAVX2 is rowGeneric 16 pixels at a time: a*32 + (b-a)*weight + (0x7fff - threshold) overflows into the sign of its
// 16-bit lane exactly where ink falls; the signs are packed and gathered. halftone/_asm writes it.
//
// Cost: 14 instructions for 16 pixels; 0.030 ns a pixel (words: 0.166). 512-bit lanes measured no faster.
//
//go:noescape
func rowAVX2(dst []uint64, upper, lower []byte, weight int, row []byte, column, width int)
