//go:build !purego

package raster

import (
	"golang.org/x/sys/cpu"

	"tamis/pkg/kernel"
)

// sureVariants are the kernels, the fastest first.
var sureVariants = []kernel.Variant[sureKernel]{
	{Name: "avx2", Able: cpu.X86.HasAVX2, Run: sureAVX2},
	{Name: "words", Able: true, Run: sureWords},
}

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

// decideVariants are the kernels, the fastest first.
var decideVariants = []kernel.Variant[decideKernel]{{Name: "avx2", Able: cpu.X86.HasAVX2, Run: decideAVX2}}

// decideBlock is how many columns or cells are summed and decided at a time.
const decideBlock = 8

// decideSums sums so many blocks of columns. raster/_asm writes it and decideCells.
//
//go:noescape
func decideSums(sums []int32, a, b, d, e []uint8, down *[4]int32, blocks int)

// decideCells decides so many blocks of cells, a byte of bits each.
//
//go:noescape
func decideCells(inked, open []uint64, sums []int32, blocks int)

// decideAVX2 is decideGeneric eight columns, and then eight cells, at a time. A plane of fewer columns is left to the
// definition; at the end of one the last eight are summed, some of them once more.
//
// Cost: 14 instructions for 8 columns and 22 for as many cells.
func decideAVX2(inked, open []uint64, sums []int32, rows *[4][]uint8, down *[4]int32, from, to int) {
	width := len(rows[0])
	if width < decideBlock {
		decideGeneric(inked, open, sums, rows, down, from, to)
		return
	}
	first, end := max(from-1, 0), min(to+2, width)
	blocks := min((end-first+decideBlock-1)/decideBlock, (width-first)/decideBlock)
	decideSums(sums[first+1:], rows[0][first:], rows[1][first:], rows[2][first:], rows[3][first:], down, blocks)
	if first+blocks*decideBlock < end {
		last := width - decideBlock
		decideSums(sums[last+1:], rows[0][last:], rows[1][last:], rows[2][last:], rows[3][last:], down, 1)
	}
	sumsGoOn(sums, width, from, to)
	words := (to - from + 63) / 64
	inked[words-1], open[words-1] = 0, 0
	decideCells(inked, open, sums[from:], (to-from+decideBlock-1)/decideBlock)
	noMarksPast(inked[:words], to-from)
	noMarksPast(open[:words], to-from)
}

// cutVariants are the kernels, the fastest first.
var cutVariants = []kernel.Variant[cutKernel]{
	{Name: "avx2", Able: cpu.X86.HasAVX2 && cpu.X86.HasBMI1 && cpu.X86.HasBMI2, Run: cutAVX2}}

// cutAVX2 is cutGeneric eight pixels of a cell at a time, four in the lanes of each of two registers. raster/_asm writes
// it.
//
//go:noescape
func cutAVX2(dst []uint64, x0 int, open uint64, starts, sums, weights []int32)
