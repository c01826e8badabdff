package raster

import (
	"encoding/binary"
	"math/rand/v2"
	"slices"
	"testing"

	"tamis/pkg/kernel"
)

// randomAxis makes an axis of any shape, the plane often as fine as the device, and a source row for it.
func randomAxis(r *rand.Rand) (Axis, []uint8) {
	size := 1 + r.IntN(60)
	count := size + r.IntN(1+[3]int{2, 40, 400}[r.IntN(3)])
	exact := float64(count) + r.Float64() - 0.5
	grid := 1 + r.IntN(2)*r.IntN(5)
	src := make([]uint8, size)
	for i := range src {
		src[i] = [4]uint8{0, 255, uint8(r.IntN(256)), uint8(r.IntN(256))}[r.IntN(4)]
	}
	return NewAxis(size, count, exact, grid, r.IntN(100)), src
}

func TestSpreadIsTheLineBetweenNeighbours(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 500 {
		a, src := randomAxis(r)
		dst := make([]byte, 2*len(a.Index)+SpreadSlack)
		spreadGeneric(&a, dst, src)
		for i := range a.Index {
			at, w := int(a.Index[i]), int(a.Weight[i])
			want := 4 * float64(src[at])
			if w > 0 {
				want += 4 * float64(int(src[at+1])-int(src[at])) * float64(w) / 32
			}
			if got := float64(binary.LittleEndian.Uint16(dst[2*i:])); got-want > 0.5 || got-want <= -0.5 {
				t.Fatalf("%d pixels, pixel %d: %g, want %g rounded half up", len(a.Index), i, got, want)
			}
		}
	}
}

func TestEverySpreadGivesTheTonesOfTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := range 3000 {
		a, src := randomAxis(r)
		src = append(make([]uint8, n%16), src...)[n%16:] // any alignment
		end := 2 * len(a.Index)
		want := make([]byte, end+SpreadSlack)
		spreadGeneric(&a, want, src)
		for _, v := range spreadVariants {
			if !v.Able {
				t.Logf("%s: this machine cannot", v.Name)
				continue
			}
			buffer := make([]byte, n%32+end+SpreadSlack+8)
			for i := range buffer {
				buffer[i] = 0xa5
			}
			got := buffer[n%32:]
			v.Run(&a, got[:end+SpreadSlack], src)
			if !slices.Equal(got[:end], want[:end]) {
				t.Fatalf("%s: %d of %d source pixels: tones differ", v.Name, len(a.Index), len(src))
			}
			for _, guard := range append(got[end+SpreadSlack:], buffer[:n%32]...) {
				if guard != 0xa5 {
					t.Fatalf("%s: %d of %d source pixels: wrote beside the row", v.Name, len(a.Index), len(src))
				}
			}
		}
	}
}

func TestSpreadEndsInZeros(t *testing.T) {
	a, src := randomAxis(rand.New(rand.NewPCG(1, 3)))
	dst := slices.Repeat([]byte{0xff}, 2*len(a.Index)+SpreadSlack)
	a.Spread(dst, src)
	if slices.Max(dst[2*len(a.Index):]) != 0 {
		t.Error("the slack is not 0")
	}
}

func BenchmarkSpread(b *testing.B) {
	const size, count = 3600, 17280
	a := NewAxis(size, count, count, 1, 0)
	src, dst := make([]uint8, size), make([]byte, 2*count+SpreadSlack)
	for i := range src {
		src[i] = uint8(i * i)
	}
	for _, v := range append(spreadVariants, kernel.Variant[spreadKernel]{Name: "definition", Able: true, Run: spreadGeneric}) {
		b.Run(v.Name, func(b *testing.B) {
			if !v.Able {
				b.Skip("this machine cannot")
			}
			b.ReportAllocs()
			for b.Loop() {
				v.Run(&a, dst, src)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/count, "ns/px")
		})
	}
}
