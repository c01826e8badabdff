package film

import "tamis/pkg/raster"

// shaped paints a plate within its shape: whole or screened in its own regions, on its plane's contour in those it
// reaches under. Cut edges stay cut where tones are screened.
type shaped struct {
	*painting
	cut       *raster.RegionCut
	contour   *raster.Contour // nil: reaches under nothing
	screened  *screened       // nil: line work
	row       []uint64
	own, edge []uint64 // the shape's own pixels, and those that it may reach under
}

func (g *painting) shaped() *shaped {
	across, down := g.cuts(g.shape.Regions.Width, g.shape.Regions.Height)
	s := &shaped{painting: g, cut: raster.NewRegionCut(g.shape, across, down), row: make([]uint64, g.words),
		own: make([]uint64, g.words), edge: make([]uint64, g.words)}
	if g.shape.Under != 0 {
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
	own := dst
	if s.screened != nil {
		clear(s.own)
		own = s.own
		s.screened.paint(dst, y)
	}
	clear(s.edge)
	reaches := s.cut.Row(own, s.edge, x0, i)
	if s.screened != nil {
		for w, m := range own {
			dst[w] &= m
		}
	}
	if !reaches {
		return
	}
	clear(s.row)
	s.contour.Row(s.row, x0, i)
	for w, m := range s.edge {
		dst[w] |= s.row[w] & m
	}
}
