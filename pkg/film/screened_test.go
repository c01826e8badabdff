package film

import (
	"encoding/binary"
	"math/rand/v2"
	"slices"
	"testing"

	"tamis/pkg/halftone"
	"tamis/pkg/raster"
)

func TestBareAndSolidWordsChangeNoBit(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	l := mustLay(t, Spec{PrintWidthMM: 60, PrintHeightMM: 8, MarginMM: 1.3, Plates: 1,
		Device: Device{XDPI: 600, YDPI: 300, WidthMM: 100}})
	for _, spec := range []halftone.Spec{{Kind: halftone.AM, FreqLPI: 30, AngleDeg: 15}, {Kind: halftone.FM, DotUM: 120}} {
		p := Plate{N: 1, Of: 1, InkName: "Blots", Screen: mustScreen(t, l, spec), Plane: raster.NewPlane(400, 40)}
		for range 12 {
			x0, y0, v := r.IntN(400), r.IntN(40), uint8([3]int{255, 255, r.IntN(256)}[r.IntN(3)])
			for y := y0; y < min(40, y0+20); y++ {
				for x := x0; x < min(400, x0+150); x++ {
					p.Plane.Pix[y*400+x] = v
				}
			}
		}
		g := newPainting(l, p)
		s := g.screened()
		for y := g.box[1]; y < g.box[3]; y++ {
			got, want := make([]uint64, g.words), make([]uint64, g.words)
			s.paint(got, y)
			plainly(g, want, y)
			if !slices.Equal(got, want) {
				t.Fatalf("%s, row %d: bits differ from a row screened whole", spec.Kind, y)
			}
		}
	}
}

// plainly paints a row without looking for bare and solid words, each pixel upsampled by itself.
func plainly(g *painting, dst []uint64, y int) {
	at, weight := int(g.down.Index[y-g.box[1]]), int(g.down.Weight[y-g.box[1]])
	var rows [2][]byte
	for i := range rows {
		rows[i] = make([]byte, g.words*128)
		src := g.plane.Row(min(at+i, g.plane.Height-1))
		for x, s := range g.across.Index {
			w := int(g.across.Weight[x])
			v := int(src[s])*(32-w) + int(src[min(int(s)+1, len(src)-1)])*w
			binary.LittleEndian.PutUint16(rows[i][2*(g.box[0]-g.first*64+x):], uint16((v+4)>>3))
		}
	}
	g.screen.Row(dst, rows[0], rows[1], weight, g.first*64, y)
}
