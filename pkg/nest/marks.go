package nest

import (
	"slices"

	"tamis/pkg/raster"
)

// stroke is a rectangle of a cut mark.
type stroke struct{ x0, y0, x1, y1 int }

// marks are the cut marks of a sheet, by their top, and those that the row under way meets.
type marks struct {
	width           int // of the sheet
	waiting, active []stroke
}

// leastMark is how long a cut mark is at least, in widths of its line: a shorter one is a speck.
const leastMark = 4

// cutMarks are strokes that lead out from the corners of every film along its edges, lines of px device pixels across.
// Each takes at most half of the gap, so that marks of neighbours stay apart; at the roll's edge what has no room is
// cut.
func cutMarks(films []member, r Roll, px int) marks {
	across, along := (r.GapX+1)/2, (r.GapY+1)/2
	if min(across, along) < leastMark*px {
		return marks{}
	}
	across, along = across-px, along-px // bare film between mark and film
	m := marks{width: r.Width}
	for _, f := range films {
		wide, high := f.lies()
		x0, y0 := f.place.X, f.place.Y
		x1, y1 := x0+wide, y0+high
		for _, y := range [2]int{y0, y1 - px} {
			m.waiting = append(m.waiting, stroke{x0 - px - across, y, x0 - px, y + px},
				stroke{x1 + px, y, x1 + px + across, y + px})
		}
		for _, x := range [2]int{x0, x1 - px} {
			m.waiting = append(m.waiting, stroke{x, y0 - px - along, x + px, y0 - px},
				stroke{x, y1 + px, x + px, y1 + px + along})
		}
	}
	slices.SortFunc(m.waiting, func(a, b stroke) int { return a.y0 - b.y0 })
	return m
}

// onto draws what stands in row y. Rows are asked for in order.
func (m *marks) onto(row []uint64, y int) {
	for len(m.waiting) > 0 && m.waiting[0].y0 <= y {
		m.active, m.waiting = append(m.active, m.waiting[0]), m.waiting[1:]
	}
	m.active = slices.DeleteFunc(m.active, func(s stroke) bool { return s.y1 <= y })
	for _, s := range m.active {
		if x0, x1 := max(0, s.x0), min(m.width, s.x1); x0 < x1 {
			raster.FillBits(row, x0, x1)
		}
	}
}
