package separate

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestEveryDealKernelGivesTheBytesOfTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	for width := range 200 {
		mixed := make([]uint64, width)
		for i := range mixed {
			mixed[i] = r.Uint64()
		}
		want := dealtRows(width)
		dealGeneric(&want, mixed)
		for _, v := range dealVariants {
			if !v.Able {
				t.Logf("%s: not on this machine", v.Name)
				continue
			}
			got := dealtRows(width)
			v.Run(&got, mixed)
			for k := range got {
				if !slices.Equal(got[k][:width+1], want[k][:width+1]) {
					t.Fatalf("%s, %d pixels: row %d differs", v.Name, width, k)
				}
			}
		}
	}
}

// dealtRows are rows of a width, each with a guard behind it.
func dealtRows(width int) (rows [groupInks][]uint8) {
	for k := range rows {
		rows[k] = append(make([]uint8, width), 0x5a)[:width]
	}
	return rows
}

func BenchmarkDeal(b *testing.B) {
	const width = 3600
	mixed, rows := make([]uint64, width), dealtRows(width)
	for _, v := range dealVariants {
		b.Run(v.Name, func(b *testing.B) {
			for b.Loop() {
				v.Run(&rows, mixed)
			}
			b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/width, "ns/px")
		})
	}
}
