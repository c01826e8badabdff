package raster

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestEveryDecideKernelDecidesAsTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 5))
	for n := range 4000 {
		width := 1 + r.IntN([2]int{30, 300}[n%2])
		p := [](func(r *rand.Rand, width, height int) *Plane){narrow, nearSure, blots}[n%3](r, width, 4)
		var rows [4][]uint8
		for j := range rows {
			rows[j] = slices.Clip(append(make([]uint8, (n+5*j)%32), p.Row(j)...)[(n+5*j)%32:]) // any alignment
		}
		from := r.IntN(width)
		to := from + 1 + r.IntN(width-from)
		var down [4]int32
		for j, w := range CubicWeights(r.IntN(32)) {
			down[j] = int32(w)
		}
		words := (to - from + 63) / 64
		decided := func(run decideKernel) (inked, open []uint64, sums []int32) {
			inked, open = slices.Repeat([]uint64{0xa5a5}, words+2), slices.Repeat([]uint64{0xa5a5}, words+2)
			sums = make([]int32, width+decideSlack)
			run(inked[1:words+1], open[1:words+1], sums, &rows, &down, from, to)
			return inked, open, sums[from : to+3]
		}
		inked, open, sums := decided(decideGeneric)
		for _, v := range decideVariants {
			if !v.Able {
				t.Logf("%s: this machine cannot", v.Name)
				continue
			}
			gotInked, gotOpen, gotSums := decided(v.Run)
			if !slices.Equal(gotInked, inked) || !slices.Equal(gotOpen, open) || !slices.Equal(gotSums, sums) {
				t.Fatalf("%s: cells %d to %d of %d differ from the definition, or are beside their place", v.Name, from, to, width)
			}
		}
	}
}
