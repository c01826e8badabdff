package separate

import (
	"encoding/binary"

	"tamis/pkg/kernel"
)

// dealKernel writes byte k of each pixel to rows[k], which are as long as mixed.
type dealKernel func(rows *[groupInks][]uint8, mixed []uint64)

// deal is the fastest kernel this machine runs, chosen once.
var deal = kernel.Fastest(dealVariants, dealGeneric)

// dealGeneric is the definition.
func dealGeneric(rows *[groupInks][]uint8, mixed []uint64) {
	for x, v := range mixed {
		for k := range rows {
			rows[k][x] = uint8(v >> (8 * k))
		}
	}
}

// dealWords is dealGeneric eight pixels at a time, as an 8 x 8 block turned about its diagonal.
//
// Cost: 3.8 ns a pixel.
func dealWords(rows *[groupInks][]uint8, mixed []uint64) {
	x := 0
	for ; x+8 <= len(mixed); x += 8 {
		block := [8]uint64(mixed[x:])
		turn(&block)
		for k := range rows {
			binary.LittleEndian.PutUint64(rows[k][x:], block[k])
		}
	}
	dealRest(rows, mixed, x)
}

// dealRest deals the pixels from x on by the definition.
func dealRest(rows *[groupInks][]uint8, mixed []uint64, x int) {
	rest := *rows
	for k := range rest {
		rest[k] = rest[k][x:]
	}
	dealGeneric(&rest, mixed[x:])
}

// turn swaps byte i of word j with byte j of word i: halves of the block first, then quarters, then single bytes.
func turn(b *[8]uint64) {
	swap := func(i, j int, mask uint64, by uint) {
		d := (b[i]>>by ^ b[j]) & mask
		b[j] ^= d
		b[i] ^= d << by
	}
	for i := range 4 {
		swap(i, i+4, 0xffff_ffff, 32)
	}
	for _, i := range [4]int{0, 1, 4, 5} {
		swap(i, i+2, 0x0000_ffff_0000_ffff, 16)
	}
	for i := 0; i < 8; i += 2 {
		swap(i, i+1, 0x00ff_00ff_00ff_00ff, 8)
	}
}
