package raster

import (
	"math/rand/v2"
	"testing"
)

func TestColumnsAddUp(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	for _, width := range []int{1, 7, 8, 9, 40, 61} {
		p := NewPlane(width, 600)
		for i := range p.Pix {
			p.Pix[i] = [2]uint8{255, uint8(r.IntN(256))}[r.IntN(2)]
		}
		s := NewColumnSums(width)
		for _, rows := range [][2]int{{0, 600}, {3, 4}, {250, 512}} {
			for x, got := range s.Of(p, rows[0], rows[1]) {
				want := uint32(0)
				for y := rows[0]; y < rows[1]; y++ {
					want += uint32(p.Pix[y*width+x])
				}
				if got != want {
					t.Fatalf("width %d, rows %v, column %d: %d, want %d", width, rows, x, got, want)
				}
			}
		}
	}
}
