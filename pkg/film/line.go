package film

import "tamis/pkg/raster"

// lined paints line work: ink where the smoothly upsampled coverage is half or more. nearest paints index art: ink
// where the source pixel under the device pixel's centre is half covered or more.
type lined struct {
	*painting
	weights raster.Cubic
}

func (g *painting) lined() *lined { return &lined{painting: g} }

func (s *lined) paint(dst []uint64, y int) {
	clear(dst[:s.words])
	at := y - s.box[1]
	row := int(s.down.Index[at])
	down := raster.CubicWeights(int(s.down.Weight[at]))
	offset := s.box[0] - s.first*64
	for i, column := range s.across.Index {
		across := raster.CubicWeights(int(s.across.Weight[i]))
		if s.plane.CubicAt(int(column), row, across, down) >= raster.CubicHalf {
			dst[(offset+i)>>6] |= 1 << ((offset + i) & 63)
		}
	}
}

type nearest struct{ *painting }

func (s *nearest) paint(dst []uint64, y int) {
	clear(dst[:s.words])
	at := y - s.box[1]
	src := s.plane.Row(raster.NearestOf(s.down, at))
	offset := s.box[0] - s.first*64
	for i := range s.across.Index {
		if src[raster.NearestOf(s.across, i)] >= 128 {
			dst[(offset+i)>>6] |= 1 << ((offset + i) & 63)
		}
	}
}
