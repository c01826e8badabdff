package film

import (
	"math"
	"strconv"
)

// patch is one field of a line plate's strip: lines of ink that stand alone, or gaps in a solid. A width of 0 is the
// solid or the bare film.
type patch struct {
	widthMM float64
	solid   bool // gaps in a solid
}

// patches are a line plate's strip in place of so many tints. Ours: a garment mesh holds lines of 0.2 to 0.4 mm,
// a fine one 0.1; a gap in a solid fills in before a line of that width is lost.
func patches(n int) []patch {
	switch n {
	case 4:
		return []patch{{0, true}, {0, false}, {0.2, false}, {0.2, true}}
	case 5:
		return []patch{{0, true}, {0.1, false}, {0.3, false}, {0.1, true}, {0.3, true}}
	case 8:
		return []patch{{0, true}, {0, false}, {0.1, false}, {0.2, false}, {0.4, false}, {0.1, true}, {0.2, true}, {0.4, true}}
	}
	return []patch{{0, true}, {0, false}, {0.1, false}, {0.2, false}, {0.3, false}, {0.4, false},
		{0.1, true}, {0.2, true}, {0.3, true}, {0.4, true}}
}

// label is the width in millimetres, or the tone of what has no lines.
func (p patch) label() string {
	switch {
	case p.widthMM > 0:
		return strconv.FormatFloat(p.widthMM, 'f', -1, 64)
	case p.solid:
		return "100"
	}
	return "0"
}

// drawTarget draws the strip of a line plate: a solid, bare film, and lines and gaps of the widths that stand under
// them, to half a device pixel and a pixel at least. They run down the film in a patch's upper half, across it in the
// lower, since the two resolutions may differ.
func (l *Layout) drawTarget(a area, n int) stamp {
	c := l.newCanvas(a)
	wide, high, labelled := a.patch(n)
	var labels []string
	for i, p := range patches(n) {
		labels = append(labels, p.label())
		c.lines(area{a.x + float64(i)*wide, a.y, wide - 0.4, high}, p)
	}
	if labelled {
		l.labelStrip(c.stamp, a, labels)
	}
	return c.stamp
}

// lines draws one patch.
func (c *canvas) lines(a area, p patch) {
	if p.widthMM == 0 {
		if p.solid {
			c.rect(a)
		}
		return
	}
	x0, x1 := int(math.Round(a.x*c.perMM[0]))-c.x, int(math.Round(a.right()*c.perMM[0]))-c.x
	y0, y1 := int(math.Round(a.y*c.perMM[1]))-c.y, int(math.Round(a.bottom()*c.perMM[1]))-c.y
	w, h := max(1, int(math.Round(p.widthMM*c.perMM[0]))), max(1, int(math.Round(p.widthMM*c.perMM[1])))
	middle := (y0 + y1) / 2
	strokes(x0, x1, w, p.solid, func(from, to int) { c.bits.FillRect(from, y0, to, middle) })
	strokes(middle, y1, h, p.solid, func(from, to int) { c.bits.FillRect(x0, from, x1, to) })
}

// strokes inks lines width apart by three times their width between from and to; or, in a solid, all but them.
func strokes(from, to, width int, solid bool, ink func(from, to int)) {
	after := from
	for at := from + width; at+width <= to; at += 4 * width {
		if solid {
			ink(after, at)
			after = at + width
		} else {
			ink(at, at+width)
		}
	}
	if solid {
		ink(after, to)
	}
}
