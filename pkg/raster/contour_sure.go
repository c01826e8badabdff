package raster

import "tamis/pkg/kernel"

// sureKernel marks the cells whose curve is surely half covered or more, and those where it surely is less, everywhere
// in the cell: bit s of solid, and of bare, for the cell right of and below column s of the second of four rows.
//
// The weights of sixteen pixels, l the least and g the greatest of them, are negative by 9/32 in sum at the most: 1/8
// along each axis. So the curve lies between l - (g-l) 9/32 and g + (g-l) 9/32.
//
// low and high are for the least and the greatest of every column, from the column before the first on: beyond the
// rows their ends go on. They are 64 a word of the marks long and sureSlack more. Marks past the rows are 0.
type sureKernel func(solid, bare []uint64, low, high []uint8, rows *[4][]uint8)

// sureSlack is how far past whole words of cells a kernel reads the columns.
const sureSlack = 16

// sure is the fastest kernel this machine runs, chosen once.
var sure = kernel.Fastest(sureVariants, sureGeneric)

// sureHalf is half coverage, 127.5, in 32nds: solid is 41 l - 9 g and above it, bare 41 g - 9 l below.
const sureHalf = 4080

// sureGeneric is the definition.
func sureGeneric(solid, bare []uint64, low, high []uint8, rows *[4][]uint8) {
	width := len(rows[0])
	a, b, d, e := rows[0], rows[1][:width], rows[2][:width], rows[3][:width]
	for s := range a {
		low[s+1], high[s+1] = min(a[s], b[s], d[s], e[s]), max(a[s], b[s], d[s], e[s])
	}
	endsGoOn(low, width)
	endsGoOn(high, width)
	for word := range solid {
		solid[word], bare[word] = 0, 0
		for s := word << 6; s < min((word+1)<<6, width); s++ {
			l := int(min(low[s], low[s+1], low[s+2], low[s+3]))
			g := int(max(high[s], high[s+1], high[s+2], high[s+3]))
			if 41*l-9*g >= sureHalf {
				solid[word] |= 1 << (s & 63)
			}
			if 41*g-9*l < sureHalf {
				bare[word] |= 1 << (s & 63)
			}
		}
	}
}

// endsGoOn repeats the first and the last of so many columns beyond them.
func endsGoOn(columns []uint8, width int) {
	columns[0] = columns[1]
	columns[width+1], columns[width+2] = columns[width], columns[width]
}
