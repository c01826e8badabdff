package raster

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"
)

func TestSpreadIsTheLineBetweenNeighbours(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 500 {
		size, count := 1+r.IntN(40), 1+r.IntN(300)
		exact := float64(count) + r.Float64() - 0.5
		grid := 1 + r.IntN(2)*r.IntN(5)
		a := NewAxis(size, count, exact, grid, r.IntN(100))
		src := make([]uint8, size)
		for i := range src {
			src[i] = uint8(r.IntN(256))
		}
		dst := make([]byte, 2*count+SpreadSlack)
		a.Spread(dst, src)
		for i := range count {
			at, w := int(a.Index[i]), int(a.Weight[i])
			want := int(src[at]) * 32
			if w > 0 {
				want = int(src[at])*(32-w) + int(src[at+1])*w
			}
			want = (want + 4) >> 3
			if got := int(binary.LittleEndian.Uint16(dst[2*i:])); got != want {
				t.Fatalf("size %d, count %d, grid %d, pixel %d: %d, want %d", size, count, grid, i, got, want)
			}
		}
	}
}

func TestAxisSamplesAtPixelCentres(t *testing.T) {
	for _, c := range []struct {
		size, count int
		exact       float64
	}{{100, 480, 480}, {100, 333, 333.4}, {7, 7, 7}, {300, 1440, 1439.6}} {
		a := NewAxis(c.size, c.count, c.exact, 1, 0)
		for i := range c.count {
			want := (float64(i)+0.5)*float64(c.size)/c.exact - 0.5
			want = math.Min(math.Max(want, 0), float64(c.size-1))
			got := float64(a.Index[i]) + float64(a.Weight[i])/32
			if math.Abs(got-want) > 1.0/64+1e-9 {
				t.Errorf("%d over %g: pixel %d samples %g, want %g (tolerance half a 32nd)", c.size, c.exact, i, got, want)
			}
		}
	}
}

func BenchmarkSpread(b *testing.B) {
	const size, count = 3600, 17280
	a := NewAxis(size, count, count, 1, 0)
	src, dst := make([]uint8, size), make([]byte, 2*count+SpreadSlack)
	for i := range src {
		src[i] = uint8(i * i)
	}
	b.ReportAllocs()
	for b.Loop() {
		a.Spread(dst, src)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/count, "ns/px")
}
