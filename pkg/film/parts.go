package film

import (
	"fmt"
	"math"

	"tamis/pkg/fault"
)

// Bounds of a split. Ours: a part that brings less than 20 mm of print that its neighbour has not is not worth a film,
// and nobody tapes more than sixteen films together for one screen.
const (
	leastFreshMM = 20
	maxParts     = 16
)

// division is how one axis of a print is divided among films, in device pixels.
type division struct{ parts, size, margin int }

// divide cuts size pixels of print into the fewest films of at most most pixels (0: no limit) that leave a margin of
// least on either side and share overlap pixels or a little more with their neighbours. False: no film is wide enough.
func divide(size, most, overlap, least, asked, fresh int) (division, bool) {
	if most == 0 || size+2*least <= most {
		c := division{1, size, asked}
		if most > 0 {
			c.margin = min(asked, (most-size)/2)
		}
		return c, true
	}
	room := most - 2*least
	if room-overlap < fresh {
		return division{}, false
	}
	n := (size - overlap + room - overlap - 1) / (room - overlap)
	part := (size + (n-1)*overlap + n - 1) / n
	return division{n, part, min(asked, (most-part)/2)}, true
}

// start is where part i begins: the first at 0, the last ends with the print, the others evenly between.
func (c division) start(i, size int) int {
	if c.parts == 1 {
		return 0
	}
	return int(math.Round(float64(i) * float64(size-c.size) / float64(c.parts-1)))
}

// split lays the print over several films, the way that takes the fewest, upright before turned; margins give way down
// to 10 mm first, and altogether only where nothing else helps. False: the device is too narrow even so.
func (l *Layout) split() bool {
	for _, leastMM := range [2]float64{min(l.Spec.MarginMM, leastMarginMM), 0} {
		best, turned := [2]division{}, false
		for _, turn := range [2]bool{false, true} {
			cuts, ok := l.cuts(turn, leastMM)
			n := cuts[0].parts * cuts[1].parts
			if ok && n <= maxParts && (best[0].parts == 0 || n < best[0].parts*best[1].parts) {
				best, turned = cuts, turn
			}
		}
		if best[0].parts > 0 {
			l.lie(turned)
			l.marginMM = [2]float64{l.Spec.MarginMM, l.Spec.MarginMM} // the whole lies as on a film wide enough
			l.divided = best
			return true
		}
	}
	return false
}

// cuts divides both axes of the print as it lies, turned or not.
func (l *Layout) cuts(turned bool, leastMM float64) (cuts [2]division, ok bool) {
	l.lie(turned)
	d := l.Spec.Device
	most := [2]float64{d.WidthMM * d.XDPI / 25.4, d.MaxLengthMM * d.YDPI / 25.4}
	for axis := range 2 {
		px := func(mm float64) int { return int(math.Round(mm * l.perMM[axis])) }
		size := max(1, px(l.printMM[axis]))
		cuts[axis], ok = divide(size, int(most[axis]), px(l.Spec.OverlapMM), px(leastMM), px(l.Spec.MarginMM),
			px(leastFreshMM))
		if !ok {
			return cuts, false
		}
	}
	return cuts, true
}

// lie says how the print lies on the film.
func (l *Layout) lie(turned bool) {
	l.Rotated, l.printMM = turned, [2]float64{l.Spec.PrintWidthMM, l.Spec.PrintHeightMM}
	if turned {
		l.printMM = [2]float64{l.Spec.PrintHeightMM, l.Spec.PrintWidthMM}
	}
}

// makeParts lays the pages of the parts out, from left to right, then from the top down.
func (l *Layout) makeParts() {
	size := [2]int{l.box[2] - l.box[0], l.box[3] - l.box[1]}
	for row := range l.divided[1].parts {
		for column := range l.divided[0].parts {
			part := *l
			part.whole, part.Part, part.parts = l, len(l.parts)+1, nil
			var page [2]int
			for axis, i := range [2]int{column, row} {
				c := l.divided[axis]
				start := c.start(i, size[axis])
				part.offset[axis] = l.box[axis] + start - c.margin
				part.box[axis], part.box[axis+2] = c.margin, c.margin+c.size
				part.PartPX[axis], part.PartPX[axis+2] = start, start+c.size
				page[axis] = c.size + 2*c.margin
			}
			if l.Mirrored() {
				part.PartPX[0], part.PartPX[2] = size[0]-part.PartPX[2], size[0]-part.PartPX[0]
			}
			part.setSize(page)
			l.parts = append(l.parts, &part)
		}
	}
	for _, p := range l.parts {
		p.Parts = len(l.parts)
	}
	l.Parts = len(l.parts)
}

// Pages are the films that one plate takes: the layout itself, or the parts of a split print. Each is written by its
// own Write; at the overlap neighbours have the same pixels, and a page's PartPX says what it shows of the whole.
func (l *Layout) Pages() []*Layout {
	if len(l.parts) == 0 {
		return []*Layout{l}
	}
	return l.parts
}

// AreaMM2 is the film that one plate takes, true size, all parts of it.
func (l *Layout) AreaMM2() float64 {
	sum := 0.0
	for _, p := range l.Pages() {
		sum += float64(p.WidthMM * p.HeightMM)
	}
	return sum
}

// partName says which part a film is, "" where it is the whole.
func (l *Layout) partName() string {
	if l.Part == 0 {
		return ""
	}
	return fmt.Sprintf("part %d of %d", l.Part, l.Parts)
}

// joins are the middles of the overlaps on a part, across the film (0) or along it (1), in pixels of its page.
func (l *Layout) joins(axis int) []int {
	if l.whole == nil {
		return nil
	}
	size, c := l.whole.box[axis+2]-l.whole.box[axis], l.whole.divided[axis]
	var at []int
	for i := 1; i < c.parts; i++ {
		middle := l.whole.box[axis] + (c.start(i, size)+c.start(i-1, size)+c.size)/2 - l.offset[axis]
		if middle > l.box[axis] && middle < l.box[axis+2] {
			at = append(at, middle)
		}
	}
	return at
}

// joinMarks puts a mark in both margins at the middle of each overlap. Films that overlap have it at the same place of
// the print: laid mark over mark they are joined, and cut there they are one film.
func (t *table) joinMarks() {
	for axis := range 2 {
		for _, px := range t.l.joins(axis) {
			at := float64(px) / t.l.perMM[axis]
			if axis == 0 {
				t.across([2]float64{at, t.my / 2}, 1, 0)
				t.across([2]float64{at, t.h - t.my/2}, 1, 0)
			} else {
				t.across([2]float64{t.mx / 2, at}, 0, 0)
				t.across([2]float64{t.w - t.mx/2, at}, 0, 0)
			}
		}
	}
}

// centre is the middle of the print on this page in mm; false where it is another part's.
func (t *table) centre(axis int) (float64, bool) {
	l := t.l
	if l.whole == nil {
		return [2]float64{t.w, t.h}[axis] / 2, true
	}
	middle := float64(l.whole.box[axis]+l.whole.box[axis+2])/2 - float64(l.offset[axis])
	return middle / l.perMM[axis], middle > float64(l.box[axis]) && middle < float64(l.box[axis+2])
}

// tooManyFilms says why a print cannot be split.
func (l *Layout) tooManyFilms() error {
	return fault.Invalidf("/film/split", "film_split",
		"a print of %g x %g mm on a device %g mm wide, overlapping by %g mm: up to %d films a plate, each with %d mm of "+
			"print of its own, do not hold it",
		l.Spec.PrintWidthMM, l.Spec.PrintHeightMM, l.Spec.Device.WidthMM, l.Spec.OverlapMM, maxParts, leastFreshMM)
}
