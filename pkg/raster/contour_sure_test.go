package raster

import (
	"math/rand/v2"
	"slices"
	"testing"

	"tamis/pkg/kernel"
)

// Source pixels of sureSolid and more, all sixteen, leave a cell solid, of less than sureBare bare, whatever they are
// above and below: 41 x 156 - 9 x 255 = 4101 is 4080 or more, 41 x 155 - 9 x 255 = 4060 is not; and 255 less of each.
const (
	sureSolid = 156
	sureBare  = 100
)

// narrow is a plane of tones so near to half coverage that the least and the greatest of a cell decide.
func narrow(r *rand.Rand, width, height int) *Plane {
	p, spread := NewPlane(width, height), 1+r.IntN(30)
	for i := range p.Pix {
		p.Pix[i] = uint8(128 - spread + r.IntN(3*spread))
	}
	return p
}

func TestEverySureKernelMarksTheCellsOfTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	for n := range 3000 {
		width := 1 + r.IntN(200)
		p := [](func(r *rand.Rand, width, height int) *Plane){narrow, nearSure, blots}[n%3](r, width, 4)
		var rows [4][]uint8
		for j := range rows {
			rows[j] = append(make([]uint8, (n+5*j)%32), p.Row(j)...)[(n+5*j)%32:] // any alignment
		}
		words := (width + 63) / 64
		marks := func(run sureKernel) (solid, bare []uint64) {
			solid, bare = slices.Repeat([]uint64{0xa5a5}, words+2), slices.Repeat([]uint64{0xa5a5}, words+2)
			low, high := make([]uint8, 64*words+sureSlack), make([]uint8, 64*words+sureSlack)
			run(solid[1:words+1], bare[1:words+1], low, high, &rows)
			return solid, bare
		}
		solid, bare := marks(sureGeneric)
		for _, v := range sureVariants {
			if !v.Able {
				t.Logf("%s: this machine cannot", v.Name)
				continue
			}
			if gotSolid, gotBare := marks(v.Run); !slices.Equal(gotSolid, solid) || !slices.Equal(gotBare, bare) {
				t.Fatalf("%s: %d columns: marks differ from the definition, or are beside their place", v.Name, width)
			}
		}
	}
}

// TestWhatIsSurelyAlikeIsSoAllOverItsCell asks every place of a cell that is marked.
func TestWhatIsSurelyAlikeIsSoAllOverItsCell(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	marked := 0
	for n := range 1500 {
		p := [](func(r *rand.Rand, width, height int) *Plane){narrow, nearSure, blots}[n%3](r, 1+r.IntN(8), 4)
		var rows [4][]uint8
		for j := range rows {
			rows[j] = p.Row(j)
		}
		var solid, bare [1]uint64
		sureGeneric(solid[:], bare[:], make([]uint8, 64+sureSlack), make([]uint8, 64+sureSlack), &rows)
		for s := range p.Width {
			if (solid[0]|bare[0])>>s&1 == 0 {
				continue
			}
			marked++
			for place := range 32 * 32 {
				v := p.CubicAt(s, 1, CubicWeights(place%32), CubicWeights(place/32))
				if ink := v >= CubicHalf; ink != (solid[0]>>s&1 != 0) {
					t.Fatalf("column %d of %v, marked as alike, is not at place %d", s, p.Pix, place)
				}
			}
		}
	}
	if marked < 500 {
		t.Errorf("only %d cells were marked", marked)
	}
}

func TestContourOfTonesNearHalfIsTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 3))
	for range 200 {
		p := narrow(r, 1+r.IntN(90), 1+r.IntN(12))
		w, h := 1+r.IntN(400), 1+r.IntN(60)
		across, down := NewAxis(p.Width, w, float64(w)+r.Float64()-0.5, 1, 0), NewAxis(p.Height, h, float64(h), 1, 0)
		c, x0 := NewContour(p, across, down), r.IntN(70)
		for i := range h {
			got, want := make([]uint64, 8), make([]uint64, 8)
			c.Row(got, x0, i)
			for x := range w {
				v := p.CubicAt(int(across.Index[x]), int(down.Index[i]), CubicWeights(int(across.Weight[x])),
					CubicWeights(int(down.Weight[i])))
				if v >= CubicHalf {
					want[(x0+x)>>6] |= 1 << ((x0 + x) & 63)
				}
			}
			if !slices.Equal(got, want) {
				t.Fatalf("plane %d x %d to %d x %d, row %d differs from the definition", p.Width, p.Height, w, h, i)
			}
		}
	}
}

func BenchmarkSure(b *testing.B) {
	const size = 3600
	p := narrow(rand.New(rand.NewPCG(4, 4)), size, 4)
	rows := [4][]uint8{p.Row(0), p.Row(1), p.Row(2), p.Row(3)}
	words := (size + 63) / 64
	solid, bare := make([]uint64, words), make([]uint64, words)
	low, high := make([]uint8, 64*words+sureSlack), make([]uint8, 64*words+sureSlack)
	for _, v := range append(sureVariants, kernel.Variant[sureKernel]{Name: "definition", Able: true, Run: sureGeneric}) {
		b.Run(v.Name, func(b *testing.B) {
			if !v.Able {
				b.Skip("this machine cannot")
			}
			b.ReportAllocs()
			for b.Loop() {
				v.Run(solid, bare, low, high, &rows)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/size, "ns/cell")
		})
	}
}
