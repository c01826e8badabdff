package separate

import (
	"bytes"
	"math/rand/v2"
	"testing"
)

func TestEveryKernelFindsTheSameBorders(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	tones := func(n int) []uint8 {
		p := make([]uint8, n)
		for i := range p {
			p[i] = [5]uint8{0, 255, bareTone, uint8(r.IntN(256)), 100 + uint8(r.IntN(40))}[r.IntN(5)]
		}
		return p
	}
	for width := range 200 {
		row, beside := tones(width+2*sharpSides), [4][]uint8{tones(width), tones(width), tones(width), tones(width)}
		under, over := tones(width), tones(width)
		want, sum := make([]uint8, width), bytes.Clone(under)
		sharpGeneric(want, row, beside)
		heapGeneric(sum, over)
		for _, v := range edgeVariants {
			if !v.Able {
				continue // not on this machine
			}
			got, heap := tones(width), bytes.Clone(under)
			if v.Run.sharp(got, row, beside); !bytes.Equal(got, want) {
				t.Fatalf("%s, %d pixels: %v, the definition says %v", v.Name, width, got, want)
			}
			if v.Run.heap(heap, over); !bytes.Equal(heap, sum) {
				t.Fatalf("%s, %d pixels: %v, the definition says %v", v.Name, width, heap, sum)
			}
		}
	}
}
