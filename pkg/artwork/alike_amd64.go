//go:build !purego

package artwork

import (
	"golang.org/x/sys/cpu"

	"tamis/pkg/kernel"
)

// alikeVariants are the kernels, the fastest first.
var alikeVariants = []kernel.Variant[alikeKernel]{
	{Name: "avx2", Able: cpu.X86.HasAVX2, Run: alikeAVX2},
	{Name: "words", Able: true, Run: alikeWords},
}

// alikeBlocks compares 64 pixels a word. artwork/_asm writes it.
//
//go:noescape
func alikeBlocks(dst []uint64, a, b []uint8, tolerance uint64)

// alikeAVX2 is alikeGeneric eight pixels at a time, the last word by words.
//
// Cost: 11 instructions for 8 pixels.
func alikeAVX2(dst []uint64, a, b []uint8) {
	n := len(a) / 256
	alikeBlocks(dst[:n], a[:256*n], b[:256*n], stillTolerance)
	alikeWords(dst[n:], a[256*n:], b[256*n:])
}
