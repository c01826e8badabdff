//go:build !purego

package raster

import (
	"golang.org/x/sys/cpu"

	"tamis/pkg/kernel"
)

// sureVariants are the kernels, the fastest first.
var sureVariants = []kernel.Variant[sureKernel]{{Name: "avx2", Able: cpu.X86.HasAVX2, Run: sureAVX2}, {Name: "words", Able: true, Run: sureWords}}

// sureBlock is how many columns or cells a kernel of 256 bits takes at a time.
const sureBlock = 32

// sureColumns makes the least and the greatest of so many blocks of columns. raster/_asm writes it and sureCells.
//
//go:noescape
func sureColumns(low, high, a, b, d, e []uint8, blocks int)

// sureCells marks all cells that the marks have room for.
//
//go:noescape
func sureCells(solid, bare []uint64, low, high []uint8)

// sureAVX2 is sureGeneric 32 columns, and then 32 cells, at a time; the last 32 columns once more. Rows of fewer are
// left to words.
//
// Cost: 12 instructions for 32 columns and 32 for as many cells; 0.09 ns a cell (words: 2.7).
func sureAVX2(solid, bare []uint64, low, high []uint8, rows *[4][]uint8) {
	width := len(rows[0])
	if width < sureBlock {
		sureWords(solid, bare, low, high, rows)
		return
	}
	last := width - sureBlock
	sureColumns(low[1:], high[1:], rows[0], rows[1], rows[2], rows[3], width/sureBlock)
	sureColumns(low[1+last:], high[1+last:], rows[0][last:], rows[1][last:], rows[2][last:], rows[3][last:], 1)
	endsGoOn(low, width)
	endsGoOn(high, width)
	sureCells(solid, bare, low, high)
	noMarksPast(solid, width)
	noMarksPast(bare, width)
}
