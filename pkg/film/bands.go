package film

import (
	"context"

	"tamis/pkg/fault"
)

// writeRows makes the rows band by band and writes their code to out. It gives the ink pixels of the print box.
func (l *Layout) writeRows(ctx context.Context, p Plate, out *tiff, progress func(rowsDone, rows int)) (int, error) {
	words := (l.WidthPX + 63) / 64
	g := newPainting(l, p)
	c := &composer{l: l, print: g.painter(p), first: g.first, marks: l.stamps(p),
		row: make([]uint64, words), turned: make([]uint64, words)}
	e := newEncoder(l.WidthPX, newCodes())
	ink := 0
	for y := range l.HeightPX {
		if y%bandRows == 0 {
			if err := ctx.Err(); err != nil {
				return 0, fault.Wrap(err, fault.Canceled, "canceled", "the work was cancelled")
			}
			if progress != nil {
				progress(y, l.HeightPX)
			}
		}
		row, n := c.finish(y)
		ink += n
		e.row(row)
		if err := out.code(e.out.bytes[:e.out.n]); err != nil {
			return 0, err
		}
		e.out.n = 0
	}
	e.end()
	if progress != nil {
		progress(l.HeightPX, l.HeightPX)
	}
	return ink, out.code(e.out.bytes[:e.out.n])
}

// painter picks what makes the print's bits.
func (g *painting) painter(p Plate) painter {
	switch {
	case p.Screen != nil:
		return g.screened()
	case p.Nearest:
		return &nearest{g}
	}
	return g.lined()
}
