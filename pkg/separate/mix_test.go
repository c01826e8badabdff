package separate

import (
	"math/rand/v2"
	"testing"

	"tamis/pkg/color"
)

// randomLookup is a table of any knots and coverages.
func randomLookup(r *rand.Rand, inks int) *lookup {
	t := &table{inks: inks, knots: knotsFor(color.RGB8{R: uint8(r.IntN(256)), G: uint8(r.IntN(256)), B: uint8(r.IntN(256))}), cov: make([]float64, nodes*nodes*nodes*inks)}
	for i := range t.cov {
		t.cov[i] = [4]float64{0, 1, r.Float64(), r.Float64()}[r.IntN(4)]
	}
	return newLookup(t)
}

func TestEveryKernelMixesTheSameBytes(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, inks := range []int{1, 4, 7, 8, 12} {
		l := randomLookup(r, inks)
		for width := range 130 {
			src := make([]byte, 4*(width+mixSlack))
			for i := range src {
				src[i] = [4]uint8{0, 255, uint8(r.IntN(256)), uint8(r.IntN(256))}[r.IntN(4)]
			}
			if width > 4 {
				copy(src[4:], src[:4]) // equal neighbours
			}
			up := &orderedRounding[r.IntN(4)]
			for g, group := range l.groups {
				want := make([]uint64, width)
				mixGeneric(want, src, width, &l.steps, group, up)
				for _, v := range mixVariants {
					if !v.Able {
						continue // not on this machine
					}
					got := make([]uint64, width+mixSlack)
					v.Run(got, src, width, &l.steps, group, up)
					for x := range want {
						if got[x] != want[x] {
							t.Fatalf("%s, %d inks, group %d, pixel %d of %d: %016x, the definition says %016x",
								v.Name, inks, g, x, width, got[x], want[x])
						}
					}
				}
			}
		}
	}
}

func TestABlockIsTurnedAboutItsDiagonal(t *testing.T) {
	var b [8]uint64
	for i := range b {
		for j := range 8 {
			b[i] |= uint64(8*i+j) << (8 * j)
		}
	}
	turn(&b)
	for i := range b {
		for j := range 8 {
			if got := uint8(b[i] >> (8 * j)); int(got) != 8*j+i {
				t.Fatalf("byte %d of word %d is %d, want %d", j, i, got, 8*j+i)
			}
		}
	}
}

func BenchmarkMix(b *testing.B) {
	r := rand.New(rand.NewPCG(5, 6))
	l := randomLookup(r, 6)
	const width = 3600
	src := make([]byte, 4*(width+mixSlack))
	for x := range width { // a slow wave and grain
		for c := range 3 {
			src[4*x+c] = uint8(100 + 60*x/width + r.IntN(16))
		}
	}
	dst := make([]uint64, width+mixSlack)
	for _, v := range mixVariants {
		b.Run(v.Name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				v.Run(dst, src, width, &l.steps, l.groups[0], &orderedRounding[1])
			}
			b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/width, "ns/px")
		})
	}
}
