package artwork

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestEveryAlikeKernelGivesTheBitsOfTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 42))
	for count := range 300 {
		a, b := make([]uint8, 4*count), make([]uint8, 4*count)
		for i := range a {
			a[i] = uint8(r.IntN(256))
			b[i] = a[i] + uint8(r.IntN(9)-4) // now and then round the end, far off
		}
		want := make([]uint64, (count+63)/64)
		alikeGeneric(want, a, b)
		for _, v := range alikeVariants {
			if !v.Able {
				t.Logf("%s: not on this machine", v.Name)
				continue
			}
			got := append(make([]uint64, len(want)), 0x5a) // a guard
			for i := range want {
				got[i] = r.Uint64()
			}
			v.Run(got[:len(want)], a, b)
			if !slices.Equal(got[:len(want)], want) || got[len(want)] != 0x5a {
				t.Fatalf("%s, %d pixels: %016x, the definition says %016x", v.Name, count, got, want)
			}
		}
	}
}

func BenchmarkAlike(b *testing.B) {
	const width = 3600
	p, q, dst := make([]uint8, 4*width), make([]uint8, 4*width), make([]uint64, (width+63)/64)
	for _, v := range alikeVariants {
		b.Run(v.Name, func(b *testing.B) {
			for b.Loop() {
				v.Run(dst, p, q)
			}
			b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/width, "ns/px")
		})
	}
}
