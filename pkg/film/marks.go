package film

import (
	"math"
	"slices"
	"sync"

	"tamis/pkg/cores"
)

// The marks' sizes in millimetres. Ours: lines of 0.25 mm are what a garment mesh still opens (trade practice), gaps
// of 1 mm keep neighbours apart to the eye and under tape.
const (
	lineMM        = 0.25
	gapMM         = 1.0
	gapLeastMM    = 0.25 // from print and film's edge in margins under 2 mm; it grows to gapMM at 8 mm
	gapLeastPX    = 1.5  // and this much on coarse devices, so that a bare pixel is left
	registerMM    = 8.0  // a register mark where there is room
	registerLeast = 2.9  // about 3 mm, what a margin of 4 leaves; below this a ring closes up: a cross alone
	crossLeast    = 1.5  // below this a cross is no better than a tick
	tickLeast     = 0.25
	tinyMM        = 60.0  // a side of the film shorter than this has ticks at its middle, to leave room for the legend
	barMM         = 100.0 // the check bar's length where there is room
	barHighMM     = 2.0
	barWideMM     = barHighMM + 3.4 // with its text
	barStepMM     = 10.0
	halvesMM      = 20.0 // how far from a part's middle the print's may stand and still part its margins in halves
	barGain       = 3    // steps of 10 mm that a bar must gain for a centre mark to give way
	readingMM     = 26.0 // what the reading mark takes of the foot, gaps and all
)

// marked is a page's marks: those of every film, and the places of what differs from plate to plate. A strip without
// width is left out.
type marked struct {
	same    func() []stamp // drawn when a film first asks
	legend  []field        // in reading order
	strip   area
	steps   []int    // the strip's tones in percent
	missing []string // see Layout.Missing
}

// table is the page while marks are being placed: what is taken stays free of others.
type table struct {
	l      *Layout
	w, h   float64    // the film's size
	mx, my float64    // margins: left and right, top and bottom
	gap    [2]float64 // what marks keep from print and film's edge, across and along
	print  area       // the print and its gap
	taken  []area
	todo   []func() stamp // the drawings
	out    marked

	registers int // register marks placed
}

// mark places what is the same on every film of the job, the most needed first. A mark that meets the print, the
// film's edge or another mark is left out: the print never gives way, and nothing is cut off.
func (l *Layout) mark() *marked {
	t := newTable(l)
	t.joinMarks()
	t.registerMarks()
	t.centreMarks()
	t.legend()
	bar, strip, reading := t.bar(false), t.strip(), t.reading()
	t.moreLegend()
	second, wedge := t.bar(true), t.wedge()
	t.note("legend", t.legendRoom() >= legendLeastMM)
	t.note("check_bar", bar)
	t.note("control_strip", strip)
	t.note("reading_mark", reading)
	t.note("register_marks", t.registers >= 3)
	t.note("second_check_bar", second)
	t.note("density_wedge", wedge)
	t.out.same = sync.OnceValue(func() []stamp {
		stamps := make([]stamp, len(t.todo))
		cores.Each(len(stamps), func(i int) { stamps[i] = t.todo[i]() })
		return stamps
	})
	return &t.out
}

// newTable is a page without marks.
func newTable(l *Layout) *table {
	t := &table{l: l, w: l.WidthMM, h: l.HeightMM, mx: float64(l.box[0]) / l.perMM[0], my: float64(l.box[1]) / l.perMM[1]}
	for axis, margin := range [2]float64{t.mx, t.my} {
		t.gap[axis] = max(min(margin/8, gapMM), gapLeastMM, gapLeastPX/l.perMM[axis])
	}
	t.print = area{t.mx, t.my, t.w - 2*t.mx, t.h - 2*t.my}.grown(t.gap[0], t.gap[1])
	return t
}

// note remembers what found no place.
func (t *table) note(code string, placed bool) {
	if !placed {
		t.out.missing = append(t.out.missing, code)
	}
}

// Missing says what all films of this page leave out for want of room, in a fixed order: legend (no room to tell one
// film of the job from another), check_bar, control_strip, reading_mark, register_marks (fewer than three), and what a
// film does without at need: second_check_bar, density_wedge. Empty where nothing is left out. It places the marks and draws none. Of a split print it is what any of its films lacks.
func (l *Layout) Missing() []string {
	var missing []string
	for _, code := range [7]string{"legend", "check_bar", "control_strip", "reading_mark", "register_marks",
		"second_check_bar", "density_wedge"} {
		if slices.ContainsFunc(l.Pages(), func(p *Layout) bool { return slices.Contains(p.marked().missing, code) }) {
			missing = append(missing, code)
		}
	}
	return missing
}

// free tells whether an area keeps its gap from the film's edge and the print, and gapMM from everything placed.
func (t *table) free(a area) bool {
	const close = 1e-9
	if a.x < t.gap[0]-close || a.y < t.gap[1]-close || a.right() > t.w-t.gap[0]+close || a.bottom() > t.h-t.gap[1]+close {
		return false
	}
	if a.meets(t.print, -close) {
		return false
	}
	for _, b := range t.taken {
		if a.meets(b, gapMM-close) {
			return false
		}
	}
	return true
}

// draw takes the area and remembers what is to be drawn in it.
func (t *table) draw(a area, draw func(c *canvas)) {
	t.taken = append(t.taken, a)
	t.todo = append(t.todo, func() stamp {
		c := t.l.newCanvas(a)
		draw(c)
		c.flush()
		return c.stamp
	})
}

// registerMarks puts a ring with a cross hair in each corner; a cross alone in a narrow margin.
func (t *table) registerMarks() {
	size := min(registerMM, max(t.mx-2*t.gap[0], t.my-2*t.gap[1]))
	if size < crossLeast {
		return
	}
	x, y := max(t.mx/2, t.gap[0]+size/2), max(t.my/2, t.gap[1]+size/2)
	for _, at := range [4][2]float64{{x, y}, {t.w - x, y}, {x, t.h - y}, {t.w - x, t.h - y}} {
		t.register(at[0], at[1], size, size)
	}
}

// centreMarks puts one in the middle of each margin, its cross hair drawn out to the centre line; the line alone
// where the margin is narrow or the film's side short.
func (t *table) centreMarks() {
	in := [2]float64{t.pullIn(0), t.pullIn(1)}
	for axis := range 2 {
		c, ok := t.centre(1 - axis)
		near, far := [2]float64{t.mx/2 + in[0]/2, c}, [2]float64{t.w - t.mx/2, c}
		if axis == 1 {
			near, far = [2]float64{c, t.h - t.my/2 - in[1]/2}, [2]float64{c, t.my / 2}
		}
		if ok {
			t.across(far, axis, 0)
			t.across(near, axis, in[axis])
		}
		if middle := [2]float64{t.h, t.w}[axis] / 2; !ok || math.Abs(c-middle) > halvesMM {
			t.keepHalves([2][2]float64{near, far}, axis, middle, in[axis])
		}
	}
}

// keepHalves takes the middle of two margins of a part whose centre marks stand elsewhere, so that what follows finds
// halves to lie in and one mark does not fill both. The first margin lacks in mm.
func (t *table) keepHalves(at [2][2]float64, axis int, middle, in float64) {
	for _, c := range at {
		length := [2]float64{t.mx, t.my}[axis] - 2*t.gap[axis] - in
		a := area{c[0] - length/2, middle - lineMM/2, length, lineMM}
		if axis == 1 {
			a = area{middle - lineMM/2, c[1] - length/2, lineMM, length}
		}
		if t.free(a) {
			t.taken = append(t.taken, a)
		}
		in = 0
	}
}

// across puts a mark in a margin, its cross hair as long as the margin lets it be but for in mm; the line alone
// where that is little. Axis 1: the line runs down the page, through head or foot.
func (t *table) across(at [2]float64, axis int, in float64) {
	length := [2]float64{t.mx, t.my}[axis] - 2*t.gap[axis] - in
	size := min(registerMM, length)
	if [2]float64{t.h, t.w}[axis] < tinyMM {
		size = 0
	}
	switch {
	case size < crossLeast && length >= tickLeast:
		t.centreLine(at, length, axis == 1)
	case size >= crossLeast && axis == 1:
		t.register(at[0], at[1], size, length)
	case size >= crossLeast:
		t.register(at[0], at[1], length, size)
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

// register draws a mark about (x, y): a cross hair w by h and, where it stays open, a ring.
func (t *table) register(x, y, w, h float64) {
	a := area{x - w/2, y - h/2, w, h}
	if !t.free(a) {
		return
	}
	t.registers++
	t.draw(a, func(c *canvas) {
		c.cross(x, y, w, h, lineMM)
		if min(w, h) >= registerLeast-1e-9 {
			c.ring(x, y, min(w, h)*0.3, lineMM)
		}
	})
}
