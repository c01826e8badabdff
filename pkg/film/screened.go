package film

import (
	"encoding/binary"

	"tamis/pkg/raster"
)

// screened paints a halftone: each source row is upsampled across once, then two of them are mixed and compared.
// Words that are bare or solid in both rows are written as they are: much of most plates.
type screened struct {
	*painting
	rows    [2]spreadRow
	between [2]int // the source rows the stretches lie between
	alike   []stretch
}

// stretch is a run of words of one kind.
type stretch struct {
	kind     kind
	from, to int
}

// spreadRow is a source row upsampled across.
type spreadRow struct {
	source int    // which row it is, -1 none
	tones  []byte // raster.Axis.Spread's
	kinds  []kind // of each word of 64 pixels
}

// kind is what a word of pixels holds.
type kind uint8

const (
	mixed kind = iota
	bare
	solid
)

func (g *painting) screened() *screened {
	s := &screened{painting: g, between: [2]int{-1, -1}}
	for i := range s.rows {
		s.rows[i] = spreadRow{source: -1, tones: make([]byte, g.words*128+raster.SpreadSlack),
			kinds: make([]kind, g.words)}
	}
	return s
}

func (s *screened) paint(dst []uint64, y int) {
	at := int(s.down.Index[y-s.box[1]])
	weight := int(s.down.Weight[y-s.box[1]])
	upper := s.row(at)
	lower := upper
	if weight != 0 {
		lower = s.row(at + 1)
	}
	if between := [2]int{upper.source, lower.source}; between != s.between {
		s.between = between
		s.findAlike(upper, lower)
	}
	for _, a := range s.alike {
		switch a.kind {
		case mixed:
			s.screen.Row(dst[a.from:a.to], upper.tones[a.from*128:], lower.tones[a.from*128:], weight, (s.first+a.from)*64, y)
		case solid:
			raster.FillBits(dst, a.from*64, a.to*64)
		}
	}
}

// findAlike finds the stretches of words that are alike between two rows, but for the bare ones.
func (s *screened) findAlike(upper, lower *spreadRow) {
	s.alike = s.alike[:0]
	for from := 0; from < s.words; {
		k := both(upper.kinds[from], lower.kinds[from])
		to := from + 1
		for to < s.words && both(upper.kinds[to], lower.kinds[to]) == k {
			to++
		}
		if k != bare {
			s.alike = append(s.alike, stretch{k, from, to})
		}
		from = to
	}
}

// both is what lies between two words.
func both(a, b kind) kind {
	if a == b {
		return a
	}
	return mixed
}

// row gives source row at, upsampled; the two last asked for are kept, even and odd.
func (s *screened) row(at int) *spreadRow {
	r := &s.rows[at&1]
	if r.source == at {
		return r
	}
	r.source = at
	src := s.plane.Row(at)
	empty := true
	for w, span := range s.spans {
		r.kinds[w] = span.kind(src)
		empty = empty && r.kinds[w] == bare
	}
	if empty {
		clear(r.tones)
	} else {
		s.across.Spread(r.tones[2*(s.box[0]-s.first*64):], src)
	}
	return r
}

// span is the source pixels that a word's pixels sample, and whether the whole word lies in the print box.
type span struct {
	from, to int
	inside   bool
}

// newSpans finds the span of every word.
func newSpans(g *painting) []span {
	spans := make([]span, g.words)
	count := len(g.across.Index)
	for w := range spans {
		first := (g.first+w)*64 - g.box[0]
		last := first + 63
		spans[w].inside = first >= 0 && last < count
		first, last = max(first, 0), min(last, count-1)
		spans[w].from = int(g.across.Index[first])
		spans[w].to = min(int(g.across.Index[last])+2, g.plane.Width)
	}
	return spans
}

// kind looks through the source pixels of a word, eight at a time, the last eight overlapping those before.
func (s span) kind(src []uint8) kind {
	src = src[s.from:s.to]
	all, any := ^uint64(0), uint64(0)
	if len(src) < 8 {
		for _, v := range src {
			all &= uint64(v) * 0x0101_0101_0101_0101
			any |= uint64(v)
		}
	} else {
		for at := 0; at < len(src); at += 8 {
			v := binary.LittleEndian.Uint64(src[min(at, len(src)-8):])
			all &= v
			any |= v
		}
	}
	switch {
	case any == 0:
		return bare
	case all == ^uint64(0) && s.inside:
		return solid
	}
	return mixed
}
