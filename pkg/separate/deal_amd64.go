//go:build !purego

package separate

import (
	"golang.org/x/sys/cpu"

	"tamis/pkg/kernel"
)

// dealVariants are the kernels, the fastest first.
var dealVariants = []kernel.Variant[dealKernel]{
	{Name: "avx2", Able: cpu.X86.HasAVX2, Run: dealAVX2},
	{Name: "words", Able: true, Run: dealWords},
}

// dealBlocks deals 32 pixels a block to the eight rows. separate/_asm writes it.
//
//go:noescape
func dealBlocks(rows *[groupInks]*uint8, mixed []uint64, blocks int)

// dealAVX2 is dealGeneric 32 pixels at a time, the rest one by one.
//
// Cost: 64 instructions for 32 pixels; 0.2 ns a pixel (words: 3.2).
func dealAVX2(rows *[groupInks][]uint8, mixed []uint64) {
	n := len(mixed) &^ 31
	if n > 0 {
		var first [groupInks]*uint8
		for k := range rows {
			first[k] = &rows[k][:n][0]
		}
		dealBlocks(&first, mixed, n/32)
	}
	dealRest(rows, mixed, n)
}
