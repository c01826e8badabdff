package film

import (
	"tamis/pkg/cores"
	"tamis/pkg/raster"
)

// shared is what all bands of a plate read.
type shared struct {
	l        *Layout
	plate    Plate
	painting *painting
	marks    []stamp
	codes    *codes
}

func (l *Layout) newShared(p Plate) *shared {
	on := l // the page the print is painted on
	if l.whole != nil {
		on = l.whole
	}
	s := &shared{l: l, plate: p, codes: newCodes()}
	cores.Together(func() { s.painting = newPainting(on, p) }, func() { s.marks = l.stamps(p) })
	return s
}

// maker makes bands: it draws rows and codes them. Each worker has one.
type maker struct {
	*shared
	print   painter
	encoder encoder
	row     []uint64 // the row as drawn
	turned  []uint64 // the row as written, where it is mirrored
	sheet   []uint64 // of a part: the row of the whole
}

func (s *shared) newMaker() *maker {
	words := (s.l.WidthPX + 63) / 64
	m := &maker{shared: s, print: s.painting.painter(s.plate), encoder: newEncoder(s.l.WidthPX, s.codes),
		row: make([]uint64, words), turned: make([]uint64, words)}
	if s.l.whole != nil {
		m.sheet = make([]uint64, (s.l.whole.WidthPX+63)/64)
	}
	return m
}

// make codes rows from..to-1 into b.
func (m *maker) make(b *band, from, to int) {
	var above []uint64
	if from > 0 {
		above, _ = m.finish(from - 1)
	}
	b.code.reset()
	b.ink = 0
	m.encoder.start(above, &b.code)
	for y := from; y < to; y++ {
		row, ink := m.finish(y)
		b.ink += ink
		m.encoder.row(row)
	}
}

// finish gives film row y as it is written, and how many pixels of the print box are ink. The row is the maker's and
// good until the next.
func (m *maker) finish(y int) (row []uint64, ink int) {
	box := m.l.box
	clear(m.row)
	if y >= box[1] && y < box[3] {
		m.paint(y)
		ink = raster.CountBits(m.row, box[0], box[2])
	}
	for i := range m.marks {
		m.marks[i].onto(m.row, y)
	}
	row = m.row
	if m.l.Mirrored() {
		raster.MirrorBits(m.turned, m.row, m.l.WidthPX)
		row = m.turned
	}
	if m.l.Spec.Negative {
		negate(row, m.l.WidthPX)
	}
	return row, ink
}

// paint paints the print of film row y. A part is cut out of the row of the whole, so that its pixels are those of a
// film that holds it all.
func (m *maker) paint(y int) {
	if m.sheet == nil {
		m.print.paint(m.row[m.painting.first:], y)
		return
	}
	clear(m.sheet)
	m.print.paint(m.sheet[m.painting.first:], y+m.l.offset[1])
	raster.OrBits(m.row, m.sheet, -m.l.offset[0])
	keep(m.row, m.l.box[0], m.l.box[2])
}

// keep clears the bits of a row outside from..to-1.
func keep(row []uint64, from, to int) {
	clear(row[:from>>6])
	row[from>>6] &= ^uint64(0) << (from & 63)
	if to>>6 < len(row) {
		row[to>>6] &= 1<<(to&63) - 1
		clear(row[to>>6+1:])
	}
}

// negate turns the width bits of a row over.
func negate(row []uint64, width int) {
	for i := range row {
		row[i] = ^row[i]
	}
	if rest := width & 63; rest != 0 {
		row[len(row)-1] &= 1<<rest - 1
	}
}
