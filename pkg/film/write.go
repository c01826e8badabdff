package film

import (
	"context"
	"io"
)

// Write writes one film as a TIFF: one page, 1 bit, Group 4 in a single strip, WhiteIsZero. The strip goes to w as it
// is made, so memory does not grow with the film's length. ctx is asked once a band, and progress, which may be nil,
// told after each how many of the page's rows are done.
func (l *Layout) Write(ctx context.Context, p Plate, w io.WriteSeeker,
	progress func(rowsDone, rows int)) (Film, error) {
	if err := p.check(l); err != nil {
		return Film{}, err
	}
	p.part = l.partName()
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
