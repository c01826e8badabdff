package film

import (
	"context"
	"io"

	"tamis/pkg/raster"
)

// Write writes one film as a TIFF: one page, 1 bit, Group 4 in a single strip, WhiteIsZero. The strip goes to w as it
// is made, so memory does not grow with the film's length. ctx is asked once a band, and progress, which may be nil,
// told after each how many of the page's rows are done.
func (l *Layout) Write(ctx context.Context, p Plate, w io.WriteSeeker,
	progress func(rowsDone, rows int)) (Film, error) {
	if err := p.check(l); err != nil {
		return Film{}, err
	}
	out := newTIFF(w, l, p.pageName())
	if err := out.begin(); err != nil {
		return Film{}, err
	}
	ink, err := l.writeRows(ctx, p, out, progress)
	if err != nil {
		return Film{}, err
	}
	if err := out.end(); err != nil {
		return Film{}, err
	}
	area := float64(l.box[2]-l.box[0]) * float64(l.box[3]-l.box[1])
	return Film{WidthPX: l.WidthPX, HeightPX: l.HeightPX, Bytes: out.size(), InkArea: float64(ink) / area,
		Legend: p.pageName()}, nil
}

// bandRows is how many rows are made between two looks at ctx: 90 bands on a 16 inch film at 1440 dpi, so that two
// cores end within a hundredth of one another.
const bandRows = 256

// composer makes finished rows of one film for one band at a time.
type composer struct {
	l      *Layout
	print  painter
	first  int
	marks  []stamp
	row    []uint64 // the row as drawn
	turned []uint64 // the row as written
}

// finish gives film row y as it is written, and how many pixels of the print box are ink.
func (c *composer) finish(y int) (row []uint64, ink int) {
	clear(c.row)
	box := c.l.box
	if y >= box[1] && y < box[3] {
		c.print.paint(c.row[c.first:], y)
		ink = raster.CountBits(c.row, box[0], box[2])
	}
	for i := range c.marks {
		c.marks[i].onto(c.row, y)
	}
	row = c.row
	if c.l.Mirrored() {
		raster.MirrorBits(c.turned, c.row, c.l.WidthPX)
		row = c.turned
	}
	if c.l.Spec.Negative {
		negate(row, c.l.WidthPX)
	}
	return row, ink
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
