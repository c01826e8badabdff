package film

import "tamis/pkg/raster"

// lined paints line work: the 50 % contour of the plane's coverage.
type lined struct {
	*painting
	contour *raster.Contour
}

func (g *painting) lined() *lined {
	return &lined{painting: g, contour: raster.NewContour(g.plane, g.across, g.down)}
}

func (s *lined) paint(dst []uint64, y int) {
	s.contour.Row(dst, s.box[0]-s.first*64, y-s.box[1])
}

// squared paints index art: ink where the source pixel under the device pixel's centre is half covered or more.
type squared struct {
	*painting
	row []uint64 // the bits of the source row last painted
	at  int      // which that is, -1 none
}

func (g *painting) squared() *squared {
	return &squared{painting: g, row: make([]uint64, g.words), at: -1}
}

func (s *squared) paint(dst []uint64, y int) {
	if at := s.down.Nearest(y - s.box[1]); at != s.at {
		s.at = at
		s.spread(s.plane.Row(at))
	}
	copy(dst, s.row)
}

// spread inks the device pixels of a source row's covered pixels, run by run.
func (s *squared) spread(src []uint8) {
	clear(s.row)
	offset, from := s.box[0]-s.first*64, -1
	for i := range s.across.Index {
		ink := src[s.across.Nearest(i)] >= 128
		switch {
		case ink && from < 0:
			from = i
		case !ink && from >= 0:
			raster.FillBits(s.row, offset+from, offset+i)
			from = -1
		}
	}
	if from >= 0 {
		raster.FillBits(s.row, offset+from, offset+len(s.across.Index))
	}
}
