package film

import (
	"math"
	"slices"
)

// The marks' sizes in millimetres. Ours: lines of 0.25 mm are what a garment mesh still opens (trade practice), gaps
// of 1 mm keep neighbours apart to the eye and under tape.
const (
	lineMM        = 0.25
	gapMM         = 1.0
	registerMM    = 8.0 // a register mark where there is room, and the least it may shrink to
	registerLeast = 2.5
	barMM         = 100.0 // the check bar's length where there is room
	barHighMM     = 2.0
	barStepMM     = 10.0
)

// marked is a page's marks: those of every film, drawn, and the places of what differs from plate to plate. An area
// without width is left out.
type marked struct {
	same          []stamp
	legend, strip area
	legendTurned  bool
	missing       []string // see Layout.Missing
}

// table is the page while marks are being placed: what is taken stays free of others.
type table struct {
	l      *Layout
	w, h   float64 // the film's size
	mx, my float64 // margins: left and right, top and bottom
	taken  []area
	out    marked

	registers int // register marks drawn
}

// mark places and draws what is the same on every film of the job, the most needed first. A mark that meets the
// print, the film's edge or another mark is left out: the print never gives way, and nothing is cut off.
func (l *Layout) mark() *marked {
	t := &table{l: l, w: l.WidthMM, h: l.HeightMM, mx: float64(l.box[0]) / l.perMM[0], my: float64(l.box[1]) / l.perMM[1]}
	t.taken = append(t.taken, area{t.mx, t.my, t.w - 2*t.mx, t.h - 2*t.my})
	t.registerMarks()
	t.centreMarks()
	t.legend()
	t.note("legend", t.out.legend.w > 0)
	t.note("check_bar", t.bar(false))
	t.strip()
	t.note("control_strip", t.out.strip.w > 0)
	t.bar(true) // the second axis is a bonus where there is room
	t.note("reading_mark", t.reading())
	t.solid()
	t.note("register_marks", t.registers >= 3)
	return &t.out
}

// note remembers what found no place.
func (t *table) note(code string, placed bool) {
	if !placed {
		t.out.missing = append(t.out.missing, code)
	}
}

// Missing says what the films of this page had to leave out for want of room, in a fixed order: legend, check_bar,
// control_strip, reading_mark, register_marks (fewer than three).
func (l *Layout) Missing() []string { return slices.Clone(l.marked().missing) }

// free tells whether an area lies on the film, gapMM from its edge, the print and everything placed.
func (t *table) free(a area) bool {
	if a.x < gapMM-1e-9 || a.y < gapMM-1e-9 || a.right() > t.w-gapMM+1e-9 || a.bottom() > t.h-gapMM+1e-9 {
		return false
	}
	for _, b := range t.taken {
		if a.meets(b, gapMM-1e-9) {
			return false
		}
	}
	return true
}

// draw takes the area and draws in it.
func (t *table) draw(a area, draw func(c *canvas)) {
	t.taken = append(t.taken, a)
	c := t.l.newCanvas(a)
	draw(c)
	c.flush()
	t.out.same = append(t.out.same, c.stamp)
}

// registerMarks puts a ring with a cross hair in each corner.
func (t *table) registerMarks() {
	size := min(registerMM, max(t.mx, t.my)-2*gapMM)
	if size < registerLeast {
		return
	}
	x, y := max(t.mx/2, gapMM+size/2), max(t.my/2, gapMM+size/2)
	for _, at := range [4][2]float64{{x, y}, {t.w - x, y}, {x, t.h - y}, {t.w - x, t.h - y}} {
		t.register(at[0], at[1], size, size)
	}
}

// centreMarks puts one in the middle of each margin, its cross hair drawn out to the centre line.
func (t *table) centreMarks() {
	for _, m := range []struct {
		margin float64
		at     [2]float64
		long   bool // the line runs down the page
	}{
		{t.my, [2]float64{t.w / 2, t.my / 2}, true}, {t.my, [2]float64{t.w / 2, t.h - t.my/2}, true},
		{t.mx, [2]float64{t.mx / 2, t.h / 2}, false}, {t.mx, [2]float64{t.w - t.mx/2, t.h / 2}, false},
	} {
		length := m.margin - 2*gapMM
		size := min(registerMM, length)
		switch {
		case size < registerLeast && length >= 1: // too tight for a mark: the centre line alone
			t.centreLine(m.at, length, m.long)
		case size >= registerLeast && m.long:
			t.register(m.at[0], m.at[1], size, length)
		case size >= registerLeast:
			t.register(m.at[0], m.at[1], length, size)
		}
	}
}

// centreLine is a stroke across the margin at its middle.
func (t *table) centreLine(at [2]float64, length float64, long bool) {
	a := area{at[0] - length/2, at[1] - lineMM/2, length, lineMM}
	if long {
		a = area{at[0] - lineMM/2, at[1] - length/2, lineMM, length}
	}
	if t.free(a) {
		t.draw(a, func(c *canvas) { c.rect(a) })
	}
}

// register draws a mark about (x, y): a cross hair w by h and a ring.
func (t *table) register(x, y, w, h float64) {
	a := area{x - w/2, y - h/2, w, h}
	if !t.free(a) {
		return
	}
	t.registers++
	t.draw(a, func(c *canvas) {
		c.cross(x, y, w, h, lineMM)
		c.ring(x, y, min(w, h)*0.3, lineMM)
	})
}

// bar draws a check bar: blocks of 10 mm, 100 mm in all or as much as fits, along the page's foot or its left side.
// False says that none fits. From its first edge to its last it is that long, to half a device pixel, once the device has stretched it.
func (t *table) bar(upright bool) bool {
	face := regular()
	const em, high = 2.6, barHighMM + 3.4
	for length := barMM; length >= barStepMM; length -= barStepMM {
		for _, a := range t.barPlaces(upright, length, high) {
			if !t.free(a) {
				continue
			}
			t.draw(a, func(c *canvas) {
				label := barLabel(length)
				c.scaleBar(a, length, upright)
				if upright {
					face.set(&c.path, label, a.right(), a.y+length, em, true)
				} else {
					face.set(&c.path, label, a.x, a.bottom()-0.5, em, false)
				}
			})
			return true
		}
	}
	return false
}

// barPlaces lists where a bar may lie: in its margin, either half, level with the print or from the corner's mark on;
// then in the opposite margin.
func (t *table) barPlaces(upright bool, length, high float64) []area {
	var places []area
	margin, middle, long := t.mx, t.my/2, t.w
	if upright {
		margin, middle, long = t.my, t.mx/2, t.h
	}
	near := max(t.my, t.mx)/2 + registerMM/2 + 2*gapMM // past a corner's mark
	starts := []float64{margin, near, long - margin - length, long - near - length}
	if upright { // from the foot up
		starts = []float64{long - margin - length, long - near - length, margin, near}
		for _, x := range [2]float64{max(gapMM, middle-high/2), t.w - max(gapMM, middle-high/2) - high} {
			for _, y := range starts {
				places = append(places, area{x, y, high, length})
			}
		}
		return places
	}
	for _, y := range [2]float64{t.h - middle - high/2, middle - high/2} {
		for _, x := range starts {
			places = append(places, area{x, y, length, high})
		}
	}
	return places
}

// scaleBar draws blocks by turns in the upper and the lower half, closed by lines above and below.
func (c *canvas) scaleBar(a area, length float64, upright bool) {
	along, px := a.x, c.perMM[0]
	if upright {
		along, px = a.y, c.perMM[1]
	}
	start := math.Round(along*px) / px // so that every block counts from the same pixel edge
	block := func(from, to, top, bottom float64) {
		if upright {
			c.rect(area{a.x + top, start + from, bottom - top, to - from})
		} else {
			c.rect(area{start + from, a.y + top, to - from, bottom - top})
		}
	}
	for i := 0; float64(i)*barStepMM < length; i++ {
		from := float64(i) * barStepMM
		top := float64(i%2) * barHighMM / 2
		block(from, from+barStepMM, top, top+barHighMM/2)
	}
	block(0, length, 0, lineMM/2)
	block(0, length, barHighMM-lineMM/2, barHighMM)
	block(0, lineMM/2, 0, barHighMM)
	block(length-lineMM/2, length, 0, barHighMM)
}
