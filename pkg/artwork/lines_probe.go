package artwork

import "math"

// measure takes the run from..to (sixteenths of a pixel) of the scanner's line. A line that a row crosses over a length
// a and a column over a length b is a b / sqrt(a a + b b) thick. A run no longer in any of four directions than twice
// its shortest extent is a speck.
func (s *scanner) measure(kind LineKind, level, from, to int) {
	x, y, dx, dy := (from+to)/2>>4, s.line, 0, 1
	if !s.across {
		x, y, dx, dy = y, x, 1, 0
	}
	p := lineProbe{img: s.img, view: s.view, kind: kind, level: level, x: x, y: y, most: 3*(to-from)/16 + 2}
	if p.inside(x, y) <= 0 {
		return
	}
	along := to - from
	back, forth := p.reach(-dx, -dy), p.reach(dx, dy)
	cross := back + forth
	m := mark{kind: kind, x: x, y: y, width16: along}
	if cross < unbounded {
		m.width16 = int(float64(along*cross) / math.Sqrt(float64(along*along+cross*cross)))
		m.speck = p.speck(&m, along, cross)
	}
	if d := back - forth; m.speck && (!s.across || d < -16 || d >= 16) {
		return // a speck counts once: in the row through its middle
	}
	s.emit(m)
}

// speck tells a run that is short in all directions; it is as thick as along or across.
func (p *lineProbe) speck(m *mark, along, cross int) bool {
	thin, long := min(along, cross), max(along, cross)
	for _, d := range []int{1, -1} {
		extent := (p.reach(1, d) + p.reach(-1, -d)) * 181 / 128 // a diagonal step is the root of 2
		thin, long = min(thin, extent), max(long, extent)
	}
	if long > 2*thin+8 { // half a pixel: the middle of a small speck lies between pixels
		return false
	}
	m.width16 = min(along, cross)
	return true
}

// lineProbe asks how far a run reaches from a pixel inside it.
type lineProbe struct {
	img        *Image
	view       view
	kind       LineKind
	level      int // twice the bounding tone
	x, y, most int
}

// unbounded is the reach of what goes on past the probe's most steps or to the picture's border.
const unbounded = 1 << 16

// reach is the distance to the run's edge in steps of (dx, dy), in sixteenths.
func (p *lineProbe) reach(dx, dy int) int {
	x, y, was := p.x, p.y, p.inside(p.x, p.y)
	for k := range p.most {
		x, y = x+dx, y+dy
		if x < 0 || y < 0 || x >= p.img.Width || y >= p.img.Height {
			return unbounded
		}
		is := p.inside(x, y)
		if is <= 0 {
			return 16*k + 16*was/(was-is)
		}
		was = is
	}
	return unbounded
}

// inside is above 0 in the run and 0 or less outside, with the distance of tone or alpha from the bound.
func (p *lineProbe) inside(x, y int) int {
	q := p.img.Pix[4*(y*p.img.Width+x):][:4]
	switch {
	case p.kind == ClearLine:
		return 255 - 2*int(q[3])
	case q[3] < 128:
		return 2*int(q[3]) - 255
	case p.kind == DarkLine:
		return p.level - 2*p.view.tone(q)
	}
	return 2*p.view.tone(q) - p.level
}
