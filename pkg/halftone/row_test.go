package halftone

import (
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"tamis/pkg/kernel"
)

// tones makes a row of random tones, many of them at the ends of the range.
func tones(r *rand.Rand, words int) []byte {
	row := make([]byte, words*128)
	for i := 0; i < len(row); i += 2 {
		v := [4]int{0, 1020, r.IntN(1021), r.IntN(1021)}[r.IntN(4)]
		binary.LittleEndian.PutUint16(row[i:], uint16(v))
	}
	return row
}

func TestEveryKernelGivesTheBitsOfTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, k := range rowVariants {
		if !k.Able {
			t.Logf("%s: not on this machine", k.Name)
			continue
		}
		for range 600 {
			words, width, weight := r.IntN(8), 1+r.IntN(400), r.IntN(33)
			strip := make([]byte, (width+pad)*2)
			for x := range width {
				binary.LittleEndian.PutUint16(strip[2*x:], uint16(0x7fff-r.IntN(toneFull)))
			}
			for x := range pad {
				copy(strip[2*(width+x):2*(width+x)+2], strip[2*(x%width):])
			}
			upper, lower, column := tones(r, words), tones(r, words), r.IntN(width)
			want, got := make([]uint64, words+1), make([]uint64, words+1)
			want[words], got[words] = 0x5a5a, 0x5a5a // a guard behind the row
			rowGeneric(want[:words], upper, lower, weight, strip, column, width)
			k.Run(got[:words], upper, lower, weight, strip, column, width)
			if !slices.Equal(got, want) {
				t.Fatalf("%s: %d words, strip of %d from %d, weight %d: bits differ", k.Name, words, width, column, weight)
			}
		}
	}
}

func BenchmarkRow(b *testing.B) {
	r := rand.New(rand.NewPCG(5, 6))
	s, err := New(Spec{Kind: AM, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440})
	if err != nil {
		b.Fatal(err)
	}
	const words = 270
	upper, lower, dst := tones(r, words), tones(r, words), make([]uint64, words)
	for _, k := range append(slices.Clone(rowVariants), kernel.Variant[rowKernel]{Name: "definition", Able: true, Run: rowGeneric}) {
		if !k.Able {
			continue
		}
		b.Run(fmt.Sprint(k.Name), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				k.Run(dst, upper, lower, 7, s.thresholds, 100, s.strip.width)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(words*64), "ns/px")
		})
	}
}
