package raster

// tiles divides a plane into squares and knows each one's least and largest tone, so that growing and shrinking pass
// over what is uniform: nearly all of real plates.
type tiles struct {
	side, across, down int
	disc               *disc
	least, most        []uint8
}

// tileSide is the least side of a tile: small enough to hug edges, large enough that the tables cost nothing.
const tileSide = 32

func newTiles(p *Plane, d *disc) *tiles {
	side := max(tileSide, d.reachX, d.reachY) // so that the reach ends in the next tile
	g := &tiles{side: side, across: (p.Width + side - 1) / side, down: (p.Height + side - 1) / side, disc: d}
	g.least, g.most = make([]uint8, g.across*g.down), make([]uint8, g.across*g.down)
	parallelRows(g.down, func(t0, t1 int) {
		for t := t0; t < t1; t++ {
			for u := range g.across {
				g.measure(p, u, t)
			}
		}
	})
	return g
}

// bounds is the tile's pixels, x1 and y1 outside.
func (g *tiles) bounds(p *Plane, u, t int) (x0, y0, x1, y1 int) {
	return u * g.side, t * g.side, min((u+1)*g.side, p.Width), min((t+1)*g.side, p.Height)
}

func (g *tiles) measure(p *Plane, u, t int) {
	x0, y0, x1, y1 := g.bounds(p, u, t)
	lo, hi := uint8(255), uint8(0)
	for y := y0; y < y1; y++ {
		for _, v := range p.Pix[y*p.Width+x0 : y*p.Width+x1] {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	g.least[t*g.across+u], g.most[t*g.across+u] = lo, hi
}

// uniform tells whether a tile and all tiles about it have one tone.
func (g *tiles) uniform(u, t int) bool {
	first := g.least[t*g.across+u]
	for v := max(0, t-1); v <= min(g.down-1, t+1); v++ {
		for w := max(0, u-1); w <= min(g.across-1, u+1); w++ {
			if i := v*g.across + w; g.least[i] != first || g.most[i] != first {
				return false
			}
		}
	}
	return true
}

// work fills one tile of out.
func (g *tiles) work(p, out *Plane, s *scratch, u, t int, flip uint8) {
	x0, y0, x1, y1 := g.bounds(p, u, t)
	if g.uniform(u, t) {
		for y := y0; y < y1; y++ {
			copy(out.Pix[y*p.Width+x0:y*p.Width+x1], p.Pix[y*p.Width+x0:])
		}
		return
	}
	s.fill(p, g.disc, x0, y0, x1, y1, flip)
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			i := y*p.Width + x
			if s.most(x-x0, y-y0, g.disc.reachY) == p.Pix[i]^flip {
				out.Pix[i] = p.Pix[i] // nothing larger in reach
				continue
			}
			out.Pix[i] = g.disc.value(p, x, y, flip)
		}
	}
}

// scratch holds a tile's running maxima along rows, with the rows above and below in reach. One a goroutine.
type scratch struct {
	side int
	row  []uint8 // [row][x]
	last []uint8
	at   int // the tile row that last is of; -1 none
}

func newScratch(side int, d *disc) *scratch {
	return &scratch{side: side, row: make([]uint8, side*(side+2*d.reachY)), last: make([]uint8, side), at: -1}
}

// fill takes, for every row in reach of the tile, the largest flipped tone within the reach along x. Rows outside
// the plane are 0.
func (s *scratch) fill(p *Plane, d *disc, x0, y0, x1, y1 int, flip uint8) {
	s.at = -1
	for r := range y1 - y0 + 2*d.reachY {
		line := s.row[r*s.side : (r+1)*s.side]
		y := y0 - d.reachY + r
		if y < 0 || y >= p.Height {
			clear(line)
			continue
		}
		src := p.Row(y)
		for x := x0; x < x1; x++ {
			best := uint8(0)
			for _, v := range src[max(0, x-d.reachX):min(p.Width, x+d.reachX+1)] {
				best = max(best, v^flip)
			}
			line[x-x0] = best
		}
	}
}

// most is the largest flipped tone in the box about pixel x, y of the tile.
func (s *scratch) most(x, y, reach int) uint8 {
	if s.at != y {
		s.at = y
		clear(s.last)
		for r := y; r <= y+2*reach; r++ {
			for i, v := range s.row[r*s.side : (r+1)*s.side] {
				s.last[i] = max(s.last[i], v)
			}
		}
	}
	return s.last[x]
}
