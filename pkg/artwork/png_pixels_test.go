package artwork

import (
	"bytes"
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
	for n := range 4 * 130 * 5 {
		width, filter, bytesPX := n/4%130, byte(n/520), 3+n%2
		above, src := random(bytesPX*width), random(bytesPX*width+1)
		want := bytes.Clone(src[:bytesPX*width])
		if !unfilter(filter, want, above, bytesPX) {
			t.Fatalf("filter %d is not known", filter)
		}
		for _, v := range pixelVariants {
			if !v.Able {
				t.Logf("%s: this machine does not run it", v.Name)
				continue
			}
			before := n % 16 // any alignment
			buffer := random(before + 4*width + 16)
			guards := bytes.Clone(buffer)
			dst := buffer[before:][:4*width]
			if !v.Run.row(filter, dst, inFours(above, bytesPX), src, bytesPX) {
				t.Fatalf("%s: filter %d is not known", v.Name, filter)
			}
			if !bytes.Equal(dst, inFours(want, bytesPX)) {
				t.Fatalf("%s: filter %d, %d pixels of %d bytes: %x, want %x", v.Name, filter, width, bytesPX, dst, want)
			}
			copy(dst, guards[before:])
			if !bytes.Equal(buffer, guards) {
				t.Fatalf("%s: filter %d, %d pixels of %d bytes: wrote past the row", v.Name, filter, width, bytesPX)
			}
		}
	}
	if inWords.row(filterPaeth+1, nil, nil, make([]byte, 1), 3) {
		t.Error("a sixth filter is known")
	}
}

// inFours gives pixels of 3 bytes a full alpha.
func inFours(p []byte, bytesPX int) (out []byte) {
	for ; len(p) > 0; p = p[bytesPX:] {
		out = append(append(out, p[:bytesPX]...), 255)[:len(out)+4]
	}
	return out
}

func BenchmarkPixelFilters(b *testing.B) {
	const width = 3600
	r := rand.New(rand.NewPCG(9, 5))
	dst, above, src := make([]byte, 4*width), make([]byte, 4*width), make([]byte, 4*width+1)
	for i := range above {
		src[i], above[i] = byte(r.Uint32()), byte(r.Uint32())
	}
	for _, v := range pixelVariants {
		for filter, name := range []string{"none", "sub", "up", "average", "paeth"} {
			b.Run(name+"/"+v.Name, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					v.Run.row(byte(filter), dst, above, src, 3)
				}
				b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/width, "ns/px")
			})
		}
	}
}
