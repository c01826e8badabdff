package raster

import (
	"math/bits"

	"tamis/pkg/kernel"
)

// cutKernel inks the pixels of open cells: those where the four sums of their cell, see decideKernel, weighed by the
// pixel's own weights come to 0 or more. Pixel 0 is at bit x0 of dst. open has a bit for each of up to 64 cells; starts
// are the cells' first pixels, and the end of the last; sums begin with the first cell's four. weights are cutWeights'.
type cutKernel func(dst []uint64, x0 int, open uint64, starts, sums, weights []int32)

// cutSlack is how many pixels past its own a kernel reads the weights of.
const cutSlack = 8

// cutOpen is the fastest kernel this machine runs, chosen once.
var cutOpen = kernel.Fastest(cutVariants, cutGeneric)

// cutWeights are the first weights of all pixels and cutSlack more, then all their second ones, and so on, for pixels
// that lie so many 32nds of the way.
func cutWeights(pixels []uint8) []int32 {
	stride := len(pixels) + cutSlack
	weights := make([]int32, 4*stride)
	for i, pixel := range pixels {
		for j, weight := range CubicWeights(int(pixel)) {
			weights[j*stride+i] = int32(weight)
		}
	}
	return weights
}

// cutGeneric is the definition.
func cutGeneric(dst []uint64, x0 int, open uint64, starts, sums, weights []int32) {
	stride := len(weights) / 4
	first, second := weights[:stride], weights[stride:2*stride]
	third, fourth := weights[2*stride:3*stride], weights[3*stride:]
	for ; open != 0; open &= open - 1 {
		s := bits.TrailingZeros64(open)
		a, b, d, e := int64(sums[s]), int64(sums[s+1]), int64(sums[s+2]), int64(sums[s+3])
		for i := int(starts[s]); i < int(starts[s+1]); i++ {
			v := a*int64(first[i]) + b*int64(second[i]) + d*int64(third[i]) + e*int64(fourth[i])
			dst[(x0+i)>>6] |= uint64(^v) >> 63 << ((x0 + i) & 63) // the sign turned over: no branch
		}
	}
}
