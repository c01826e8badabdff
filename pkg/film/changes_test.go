package film

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"tamis/pkg/kernel"
	"tamis/pkg/raster"
)

func TestEveryListIsThatOfTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for n := range 2000 {
		width := 1 + r.IntN([3]int{130, 700, 5000}[n%3])
		row := hostile(r, width, 1).Row(0)
		list := make([]byte, 2*(width+2+quadSlack))
		want := bytes.Clone(list)
		count := listGeneric(want, row)
		for _, v := range listVariants {
			if !v.Able {
				t.Logf("%s: this machine does not run it", v.Name)
				continue
			}
			buffer := bytes.Repeat([]byte{0xa5}, n%64+len(list)+64) // any alignment
			got := buffer[n%64:][:len(list)]
			if c := v.Run(got, row); c != count || !bytes.Equal(got[:2*c], want[:2*c]) {
				t.Fatalf("%s: %d pixels: %d changes, want %d", v.Name, width, c, count)
			}
			for _, b := range append(buffer[:n%64:n%64], buffer[n%64+2*(count+quadSlack):]...) {
				if b != 0xa5 {
					t.Fatalf("%s: %d pixels: wrote past the slack or before the list", v.Name, width)
				}
			}
		}
	}
}

func TestListsEndAtTheWidth(t *testing.T) {
	for _, width := range []int{1, 63, 64, 65, 640} {
		b := raster.NewBitmap(width, 1)
		b.FillRect(0, 0, width, 1)
		list := make([]byte, 2*(width+2+quadSlack))
		changes16(list, b.Row(0), width, kernel.Fastest(listVariants, listGeneric))
		for i, want := range []int{0, 0, width, width, width, width, width} {
			if got := at16(list, i); got != want {
				t.Errorf("%d pixels of ink, entry %d: %d, want %d", width, i, got, want)
			}
		}
	}
}

// BenchmarkList lists the changes of a row of round dots.
func BenchmarkList(b *testing.B) {
	const width = 17280
	bits := raster.NewBitmap(width, 1)
	for x := 0; x < width; x += 34 {
		bits.FillRect(x, 0, x+9+x%11, 1)
	}
	list := make([]byte, 2*(width+2+quadSlack))
	for _, v := range append(listVariants, kernel.Variant[listKernel]{Name: "definition", Able: true, Run: listGeneric}) {
		b.Run(v.Name, func(b *testing.B) {
			if !v.Able {
				b.Skip("this machine does not run it")
			}
			b.ReportAllocs()
			for b.Loop() {
				v.Run(list, bits.Row(0))
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/width, "ns/px")
		})
	}
}
