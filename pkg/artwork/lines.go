package artwork

import (
	"bytes"
	"encoding/binary"
)

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

// scanner looks along one row or column at a time: tone 1..255, 0 where clear (alpha below half), with the alphas of
// art that has any.
type scanner struct {
	img         *Image
	view        view
	tone, alpha []uint8
	across      bool // along a row; else down a column
	line        int  // which one
	emit        func(mark)
}

// look finds the thin runs of the line.
func (s *scanner) look() {
	n := len(s.tone)
	for i := 0; i < n; {
		j, clear := i+1, s.tone[i] == 0
		if !clear {
			if j = bytes.IndexByte(s.tone[i:], 0) + i; j < i {
				j = n
			}
		}
		for clear && j < n && s.tone[j] == 0 {
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

// turn is an extreme of tone along a line: where, and how bright.
type turn struct{ at, tone int }

// opaque looks at a stretch without clear pixels: it follows the tone from extreme to extreme, each lineContrast or
// more from the last, and measures every one.
func (s *scanner) opaque(from, to int) {
	lo := turn{from, int(s.tone[from])}
	hi := lo
	way := 0 // +1 while the tone rises, -1 while it falls, 0 not yet known
	for x := from + 1; x < to; x++ {
		if s.tone[x] == s.tone[x-1] {
			for x+8 < to && binary.LittleEndian.Uint64(s.tone[x:]) == binary.LittleEndian.Uint64(s.tone[x-1:]) {
				x += 8
			}
			if s.tone[x] == s.tone[x-1] {
				continue
			}
		}
		v := int(s.tone[x])
		if v < lo.tone {
			lo = turn{x, v}
		}
		if v > hi.tone {
			hi = turn{x, v}
		}
		switch {
		case way <= 0 && v-lo.tone >= lineContrast:
			s.extreme(DarkLine, lo, from, to)
			way, hi = 1, turn{x, v}
		case way >= 0 && hi.tone-v >= lineContrast:
			s.extreme(LightLine, hi, from, to)
			way, lo = -1, turn{x, v}
		}
	}
	switch {
	case way > 0, way == 0 && hi.tone >= 128:
		s.extreme(LightLine, hi, from, to)
	default:
		s.extreme(DarkLine, lo, from, to)
	}
}

// extreme measures a run about an extreme in the opaque stretch from..to.
func (s *scanner) extreme(kind LineKind, b turn, from, to int) {
	left, right := s.side(kind, b, -1, from-1), s.side(kind, b, 1, to)
	if !left.ok || !right.ok || right.at16-left.at16 > 16*lineMostPX {
		return
	}
	if (left.end || right.end) && !s.solid(left.at16>>4, right.at16>>4) {
		return
	}
	s.measure(kind, threshold(kind, b, left, right), left.at16, right.at16)
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

// side is what bounds a run on one side: where, in sixteenths of a pixel, and the tone beyond, or the end of the opaque
// stretch. A run that goes on too far or to the picture's border is not ok.
type side struct {
	at16, tone int
	end, ok    bool
}

// side walks from an extreme to where the tone has changed enough and, at a soft edge, changes no further. The edge is
// half way.
func (s *scanner) side(kind LineKind, b turn, step, bound int) side {
	away := 1
	if kind == LightLine {
		away = -1
	}
	x := b.at
	for (int(s.tone[x])-b.tone)*away < lineContrast {
		x += step
		switch {
		case x == -1 || x == len(s.tone) || (x-b.at)*step > lineMostPX:
			return side{}
		case x == bound:
			return side{at16: s.alphaEdge(max(x, x-step)), end: true, ok: true}
		}
	}
	for x+step != bound && (int(s.tone[x+step])-int(s.tone[x]))*away > plateau/2 {
		x += step
	}
	level := b.tone + int(s.tone[x])
	for y := b.at; ; y += step {
		out := 2*int(s.tone[y]) - level
		if out*away <= 0 {
			continue
		}
		in := 2*int(s.tone[y-step]) - level
		return side{at16: 16*y + 8 - step*16*out/(out-in), tone: int(s.tone[x]), ok: !s.view.still || s.lies(y, step)}
	}
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

// threshold is twice the tone that bounds the run in every direction: half way to the nearer of its sides; past all
// tones where both sides are clear.
func threshold(kind LineKind, b turn, left, right side) int {
	if kind == DarkLine {
		near := 1 << 10
		for _, s := range []side{left, right} {
			if !s.end {
				near = min(near, s.tone)
			}
		}
		return b.tone + near
	}
	near := -1 << 10
	for _, s := range []side{left, right} {
		if !s.end {
			near = max(near, s.tone)
		}
	}
	return b.tone + near
}
