package artwork

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"
)

// nearestAsSaid is the standard's clause 9.4 word for word.
func nearestAsSaid(a, b, c int32) int32 {
	distance := func(v int32) int32 { return max(a+b-c-v, v-(a+b-c)) }
	pa, pb, pc := distance(a), distance(b), distance(c)
	switch {
	case pa <= pb && pa <= pc:
		return a
	case pb <= pc:
		return b
	}
	return c
}

func TestPaethIsTheStandards(t *testing.T) {
	for n := range int32(1 << 24) {
		a, b, c := n>>16, n>>8&255, n&255
		if got, want := paeth(a, b, c), nearestAsSaid(a, b, c); got != want {
			t.Fatalf("%d %d %d: %d, want %d", a, b, c, got, want)
		}
	}
}

func TestPixelsOfEveryFilterAreThoseOfBytes(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 4))
	random := func(n int) []byte {
		p := make([]byte, n)
		for i := range p {
			p[i] = byte(r.Uint32()) | byte(r.Int32()>>31)
		}
		return p
	}
	for width := range 70 {
		for filter := range byte(6) {
			for _, bytesPX := range []int{3, 4} {
				above, src := random(bytesPX*width), random(bytesPX*width+1)
				want := bytes.Clone(src[:bytesPX*width])
				known := unfilter(filter, want, above, bytesPX)
				dst, over := random(4*width), inFours(above, bytesPX)
				if unfilterPixels(filter, dst, over, src, bytesPX) != known {
					t.Fatalf("filter %d: known is not %v", filter, known)
				}
				if known && !bytes.Equal(dst, inFours(want, bytesPX)) {
					t.Fatalf("filter %d, %d pixels of %d bytes: %x, want %x", filter, width, bytesPX, dst, want)
				}
			}
		}
	}
}

// inFours gives pixels of 3 bytes a full alpha.
func inFours(p []byte, bytesPX int) (out []byte) {
	for ; len(p) > 0; p = p[bytesPX:] {
		out = append(append(out, p[:bytesPX]...), 255)[:len(out)+4]
	}
	return out
}

func BenchmarkUnfilterPixels(b *testing.B) {
	const width = 3600
	for _, bytesPX := range []int{3, 4} {
		for filter, name := range []string{"none", "sub", "up", "average", "paeth"} {
			b.Run(fmt.Sprint(name, bytesPX), func(b *testing.B) {
				r := rand.New(rand.NewPCG(9, 5))
				dst, above, src := make([]byte, 4*width), make([]byte, 4*width), make([]byte, bytesPX*width+1)
				for i := range src {
					src[i] = byte(r.Uint32())
				}
				for i := range above {
					above[i] = byte(r.Uint32())
				}
				b.ReportAllocs()
				for b.Loop() {
					unfilterPixels(byte(filter), dst, above, src, bytesPX)
				}
				b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/width, "ns/px")
			})
		}
	}
}
