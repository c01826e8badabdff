package pages

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
)

func TestABufferIsZeroAndHoldsWhatIsWritten(t *testing.T) {
	for _, n := range []int{0, 1, hugeBytes / 4, hugeBytes/4 + 1, 5*hugeBytes + 3} {
		for range 3 { // later ones may lie where earlier ones were
			list := Make[uint32](n)
			if len(list) != n || slices.ContainsFunc(list, func(v uint32) bool { return v != 0 }) {
				t.Fatalf("%d entries asked: %d, not all 0", n, len(list))
			}
			for i := range list {
				list[i] = uint32(i) + 1
			}
			runtime.GC()
			if i := slices.IndexFunc(list, func(v uint32) bool { return v == 0 }); i >= 0 {
				t.Fatalf("entry %d of %d was lost", i, n)
			}
		}
	}
}

func TestWholeHugePagesAreAdvised(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 10000 {
		at, bytes := uintptr(r.IntN(1<<30)), uintptr(1+r.IntN(5*hugeBytes))
		from, length := covering(at, bytes)
		if from%hugeBytes != 0 || length%hugeBytes != 0 || from > at || from+length < at+bytes || length-bytes >= 2*hugeBytes {
			t.Fatalf("%d bytes at %d: advised %d from %d on", bytes, at, length, from)
		}
	}
}

func BenchmarkFirstTouch(b *testing.B) {
	const size = 64 << 20
	for _, way := range []struct {
		name string
		make func(n int) []byte
	}{{"make", func(n int) []byte { return make([]byte, n) }}, {"pages", Make[byte]}} {
		b.Run(fmt.Sprint(way.name), func(b *testing.B) {
			var kept [][]byte // so that each buffer is new
			for b.Loop() {
				list := way.make(size)
				for i := 0; i < size; i += 4096 {
					list[i] = 1
				}
				if kept = append(kept, list); len(kept) == 16 {
					kept = nil
				}
			}
			b.SetBytes(size)
		})
	}
}
