package proof

import (
	"context"
	"slices"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/raster"
	"tamis/pkg/separate"
)

// scorePX is the longest side on which print and artwork are compared: a cell is then about what an eye resolves of a
// chest print at arm's length. Square dots are coarser: there a cell spans dotsPerCell of them.
const (
	scorePX     = 600
	dotsPerCell = 16
)

// cellsFor is the longest side of the comparison.
func cellsFor(r *separate.Recipe, planes []*raster.Plane) int {
	for _, p := range r.Plates {
		if p.Nearest && len(planes) > 0 {
			return min(scorePX, max(1, max(planes[0].Width, planes[0].Height)/dotsPerCell))
		}
	}
	return scorePX
}

// Match is how far a print is from its artwork: CIEDE2000 over the printed area.
type Match struct{ MeanE00, P95E00 float64 }

// Score compares the predicted print with the artwork laid over the garment, both averaged to at most scorePX. Cells
// count by the artwork's alpha; artwork without ink scores 0.
func Score(ctx context.Context, r *separate.Recipe, planes []*raster.Plane, art *artwork.Image) (Match, error) {
	small := art.Reduced(cellsFor(r, planes))
	light, err := lightAt(ctx, r, planes, small.Width, small.Height)
	if err != nil {
		return Match{}, err
	}
	ground := r.Ground().RGB8()
	var errs []cellError
	for i, l := range light {
		p := small.Pix[4*i : 4*i+4]
		if p[3] == 0 {
			continue
		}
		want := over(p, ground).Lab()
		errs = append(errs, cellError{color.DeltaE00(l.Lab(), want), float64(p[3])})
	}
	return summarise(errs), nil
}

type cellError struct{ e00, weight float64 }

func summarise(errs []cellError) Match {
	if len(errs) == 0 {
		return Match{}
	}
	slices.SortFunc(errs, func(a, b cellError) int {
		switch {
		case a.e00 < b.e00:
			return -1
		case a.e00 > b.e00:
			return 1
		}
		return 0
	})
	sum, total := 0.0, 0.0
	for _, e := range errs {
		sum += float64(e.e00 * e.weight)
		total += e.weight
	}
	run := 0.0
	for _, e := range errs {
		if run += e.weight; run >= 0.95*total {
			return Match{sum / total, e.e00}
		}
	}
	return Match{sum / total, errs[len(errs)-1].e00}
}

// over lays a straight pixel over the garment in sRGB codes, as separate does.
func over(p []uint8, g color.RGB8) color.RGB8 {
	a := uint32(p[3])
	mix := func(v, under uint8) uint8 { return uint8((uint32(v)*a + uint32(under)*(255-a) + 127) / 255) }
	return color.RGB8{R: mix(p[0], g.R), G: mix(p[1], g.G), B: mix(p[2], g.B)}
}
