package raster

import "tamis/pkg/kernel"

// decideKernel tells which cells from..to-1 of a device row are ink all over and which are left open, by bits counted
// from the first of them; the others are bare. A word's bits past the last cell are 0.
//
// Sums are the source columns down four rows by the weights of the device row, less half coverage, in units of 1/65536
// of a step of 1/255. The first is that of the column before the plane; beyond the plane its ends go on. What a kernel
// leaves there are the sums of the columns from-1..to+1; it may write those of the plane's others, and decideSlack more
// than the plane is wide are there.
//
// The weights across are negative by 1/8 in sum at the most. So where l is the least of a cell's four sums and g the
// greatest, all its pixels lie between l - (g-l)/8 and g + (g-l)/8.
type decideKernel func(inked, open []uint64, sums []int32, rows *[4][]uint8, down *[4]int32, from, to int)

// decideSlack is the three sums beyond the plane, and how far past its cells a kernel reads them.
const decideSlack = 3 + 8

// decide is the fastest kernel this machine runs, chosen once.
var decide = kernel.Fastest(decideVariants, decideGeneric)

// decideGeneric is the definition.
func decideGeneric(inked, open []uint64, sums []int32, rows *[4][]uint8, down *[4]int32, from, to int) {
	width := len(rows[0])
	first, end := max(from-1, 0), min(to+2, width)
	a, b, d, e := rows[0][first:end], rows[1][first:end], rows[2][first:end], rows[3][first:end]
	inside := sums[first+1:]
	for s := range a {
		inside[s] = down[0]*int32(a[s]) + down[1]*int32(b[s]) + down[2]*int32(d[s]) + down[3]*int32(e[s]) - CubicHalf>>16
	}
	sumsGoOn(sums, width, from, to)
	for word := range (to - from + 63) / 64 {
		inked[word], open[word] = 0, 0
		for s := from + word<<6; s < min(from+(word+1)<<6, to); s++ {
			l, g := min(sums[s], sums[s+1], sums[s+2], sums[s+3]), max(sums[s], sums[s+1], sums[s+2], sums[s+3])
			switch bit := uint64(1) << ((s - from) & 63); {
			case 9*g < l: // bare
			case 9*l >= g:
				inked[word] |= bit
			default:
				open[word] |= bit
			}
		}
	}
}

// sumsGoOn repeats the first and the last sum of the plane beyond it, where cells from..to-1 read them.
func sumsGoOn(sums []int32, width, from, to int) {
	if from == 0 {
		sums[0] = sums[1]
	}
	for s := width; s < to+2; s++ {
		sums[s+1] = sums[width]
	}
}
