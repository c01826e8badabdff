package film

import "tamis/pkg/raster"

// shaped paints a plate within its shape: whole or screened in its own regions, on its plane's contour in those it
// reaches under. Cut edges stay cut where tones are screened.
type shaped struct {
	*painting
	own, under *raster.RegionCut
	contour    *raster.Contour // nil: reaches under nothing
	screened   *screened       // nil: line work
	row, mask  []uint64
}

func (g *painting) shaped() *shaped {
	across, down := g.cuts(g.shape.Regions.Width, g.shape.Regions.Height)
	s := &shaped{painting: g, own: raster.NewRegionCut(g.shape.Regions, g.shape.Own, across, down),
		row: make([]uint64, g.words), mask: make([]uint64, g.words)}
	if g.shape.Under != 0 {
		s.under = raster.NewRegionCut(g.shape.Regions, g.shape.Under, across, down)
		across, down = g.cuts(g.reach.Width, g.reach.Height)
		s.contour = raster.NewContour(g.reach, across, down)
	}
	if g.screen != nil {
		s.screened = g.screened()
	}
	return s
}

func (s *shaped) paint(dst []uint64, y int) {
	x0, i := s.box[0]-s.first*64, y-s.box[1]
	if s.screened == nil {
		s.own.Row(dst, x0, i)
	} else {
		s.screened.paint(dst, y)
		clear(s.mask)
		s.own.Row(s.mask, x0, i)
		for w, m := range s.mask {
			dst[w] &= m
		}
	}
	if s.contour == nil {
		return
	}
	clear(s.row)
	clear(s.mask)
	s.contour.Row(s.row, x0, i)
	s.under.Row(s.mask, x0, i)
	for w, m := range s.mask {
		dst[w] |= s.row[w] & m
	}
}
