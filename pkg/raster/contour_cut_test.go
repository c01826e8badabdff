package raster

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestEveryCutKernelInksThePixelsOfTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 6))
	for range 4000 {
		cells, wide := 1+r.IntN(64), 1+r.IntN([3]int{3, 9, 300}[r.IntN(3)])
		starts, count := make([]int32, cells+1), 0
		for s := range cells {
			starts[s] = int32(count)
			count += r.IntN(wide + 1)
		}
		starts[cells] = int32(count)
		pixels, sums := make([]uint8, count), make([]int32, cells+3)
		for i := range pixels {
			pixels[i] = uint8(r.IntN(32))
		}
		reach := int32(1) << (1 + r.IntN(24))
		for i := range sums {
			sums[i] = r.Int32N(2*reach) - reach
		}
		open := r.Uint64() >> (64 - cells)
		weights, x0 := cutWeights(pixels), r.IntN(130)
		words := (x0 + count + 63) / 64
		inked := func(run cutKernel) []uint64 {
			dst := slices.Repeat([]uint64{0}, words+2)
			dst[0], dst[words+1] = 0xa5a5, 0xa5a5
			run(dst[1:words+1], x0, open, starts, sums, weights)
			return dst
		}
		want := inked(cutGeneric)
		for _, v := range cutVariants {
			if !v.Able {
				t.Logf("%s: this machine cannot", v.Name)
				continue
			}
			if got := inked(v.Run); !slices.Equal(got, want) {
				t.Fatalf("%s: %d cells at bit %d differ from the definition, or are beside their place", v.Name, cells, x0)
			}
		}
	}
}
