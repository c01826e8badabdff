package artwork

// LineKind says what a thin run of pixels is against what lies on both sides of it.
type LineKind int

// The kinds: darker or lighter than both sides (or with a clear side), or clear between what is not.
const (
	DarkLine LineKind = iota
	LightLine
	ClearLine
	LineKinds // how many there are
)

// mark is one crossing of a thin line or speck by a row or column of pixels: where its middle is, and how thick it is
// there, in sixteenths of a pixel.
type mark struct {
	kind    LineKind
	x, y    int
	width16 int
	speck   bool
}

// Figures of the search for lines, in codes of tone and pixels. Ours; TestLinesAreAsThickAsDrawn would notice.
const (
	lineContrast = 48 // least step of tone on both sides: what JPEG leaves about edges stays below
	lineMostPX   = 31 // wider runs are areas: 31 px at 720 ppi are 1 mm
	plateau      = 12 // most change between neighbours of ground that lies still, in art with tones
)

// scanner looks along one row or column at a time: tone 1..255, 0 where clear (alpha below half), with the alphas.
type scanner struct {
	img         *Image
	still       bool // lines count only on ground that lies still
	tone, alpha []uint8
	across      bool // along a row; else down a column
	line        int  // which one
	emit        func(mark)
}

// toneOf is a brightness 1..255 in the codes of sRGB. Two colours of one tone are one to it: a line between them is not
// seen.
func toneOf(p []uint8) int { return max(1, (2*int(p[0])+5*int(p[1])+int(p[2]))>>3) }

// look finds the thin runs of the line.
func (s *scanner) look() {
	n := len(s.tone)
	for i := 0; i < n; {
		j, clear := i+1, s.tone[i] == 0
		for j < n && (s.tone[j] == 0) == clear {
			j++
		}
		if !clear {
			s.opaque(i, j)
		} else if i > 0 && j < n && j-i <= lineMostPX {
			s.measure(ClearLine, clearThreshold, s.alphaEdge(i), s.alphaEdge(j))
		}
		i = j
	}
}

// alphaEdge is where alpha crosses one half between pixels i-1 and i, in sixteenths of a pixel.
func (s *scanner) alphaEdge(i int) int {
	a, b := 2*int(s.alpha[i-1])-255, 2*int(s.alpha[i])-255
	return 16*i - 8 + 16*a/(a-b)
}

// turn is an extreme of tone along a line, or an end of an opaque stretch: where, and how bright.
type turn struct {
	at, tone int
	end      bool // an end of the stretch: clear beyond, or the picture's border
	border   bool
}

// opaque looks at a stretch without clear pixels: it follows the tone from extreme to extreme, each lineContrast or
// more from the last, and measures every extreme between its neighbours.
func (s *scanner) opaque(from, to int) {
	before, here := turn{at: from, end: true, border: from == 0}, turn{}
	lo, hi := turn{at: from, tone: int(s.tone[from])}, turn{at: from, tone: int(s.tone[from])}
	way := 0 // +1 while the tone rises, -1 while it falls, 0 not yet known
	for x := from + 1; x < to; x++ {
		if s.tone[x] == s.tone[x-1] {
			continue
		}
		v := int(s.tone[x])
		if v < lo.tone {
			lo = turn{at: x, tone: v}
		}
		if v > hi.tone {
			hi = turn{at: x, tone: v}
		}
		switch {
		case way <= 0 && v-lo.tone >= lineContrast: // lo was a valley
			if way < 0 {
				s.between(before, here, lo)
				before = here
			}
			here, way, hi = lo, 1, turn{at: x, tone: v}
		case way >= 0 && hi.tone-v >= lineContrast: // hi was a peak
			if way > 0 {
				s.between(before, here, hi)
				before = here
			}
			here, way, lo = hi, -1, turn{at: x, tone: v}
		}
	}
	end := turn{at: to, end: true, border: to == len(s.tone)}
	switch {
	case way == 0:
		s.between(before, lo, end)
		return
	case way < 0:
		hi = lo
	}
	s.between(before, here, hi)
	s.between(here, hi, end)
}

// between measures the extreme b between its neighbours a and c.
func (s *scanner) between(a, b, c turn) {
	if a.border || c.border {
		return
	}
	from, okFrom := s.edge(b, a, -1)
	to, okTo := s.edge(b, c, 1)
	if !okFrom || !okTo || to-from > 16*lineMostPX {
		return
	}
	if (a.end || c.end) && !s.solid(from>>4, to>>4) {
		return
	}
	kind := LightLine
	if !a.end && a.tone > b.tone || !c.end && c.tone > b.tone || a.end && c.end && b.tone < 128 {
		kind = DarkLine
	}
	s.measure(kind, threshold(kind, a, b, c), from, to)
}

// solid tells whether some pixel is opaque: a fringe of half-clear pixels along an edge is no line.
func (s *scanner) solid(from, to int) bool {
	for _, a := range s.alpha[max(0, from):min(to+1, len(s.alpha))] {
		if a >= 250 {
			return true
		}
	}
	return false
}

// edge is where the tone crosses half way from b to its neighbour, walking by step, in sixteenths of a pixel.
func (s *scanner) edge(b, to turn, step int) (at16 int, ok bool) {
	if to.end {
		at := to.at
		return s.alphaEdge(at), (at-b.at)*step <= lineMostPX
	}
	level, up := b.tone+to.tone, to.tone > b.tone
	x := b.at
	for ; (2*int(s.tone[x]) > level) != up || 2*int(s.tone[x]) == level; x += step {
		if (x-b.at)*step > lineMostPX || x == to.at {
			return 0, false
		}
	}
	out, in := 2*int(s.tone[x])-level, 2*int(s.tone[x-step])-level
	if s.still && !s.lies(x, step) {
		return 0, false
	}
	return 16*x + 8 - step*16*out/(out-in), true
}

// lies tells whether the ground beyond an edge lies still for three pixels; the line's end counts as still.
func (s *scanner) lies(x, step int) bool {
	for i := x + step; i != x+3*step; i += step {
		if i+step < 0 || i+step >= len(s.tone) {
			return true
		}
		if d := int(s.tone[i+step]) - int(s.tone[i]); d > plateau || d < -plateau {
			return false
		}
	}
	return true
}

// clearThreshold stands where a run has no tone to compare with.
const clearThreshold = 0

// threshold is twice the tone that bounds the run in every direction: half way to the nearer of its sides.
func threshold(kind LineKind, a, b, c turn) int {
	near := 0
	for _, t := range []turn{a, c} {
		switch {
		case t.end:
		case near == 0, kind == DarkLine && t.tone < near, kind == LightLine && t.tone > near:
			near = t.tone
		}
	}
	switch {
	case near != 0:
		return b.tone + near
	case kind == DarkLine:
		return 1 << 10 // clear on both sides: any tone belongs to it
	}
	return -1
}
