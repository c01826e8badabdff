package film

import (
	"slices"
	"strings"
)

// The legend's type: em in millimetres, pitch in ems. Capitals are 0.73 em high.
const (
	titleEM, titlePitch   = 4.2, 8.0 / 7
	detailEM, detailPitch = 3.0, 1.2
	leastEM               = 2.2  // 1.6 mm capitals: what a film still shows to the naked eye
	lastPitch             = 1.14 // nothing need follow the last line
	baseEM                = 0.93 // from a line's top to its base line: accents just above it, tails within lastPitch
)

// between stands between the parts of a line.
const between = "   "

// style is how a legend is set: its ems, and whether the details run on from the title, in its weight.
type style struct {
	titleEM, detailEM float64
	runOn, light      bool
}

// styles are tried in turn: the first whole legend is taken.
func styles() []style {
	return []style{{titleEM, detailEM, false, false}, {3.6, 2.6, false, false}, {3.08, leastEM, false, false},
		{4.2, 4.2, true, false}, {3.6, 3.6, true, false}, {3, 3, true, false}, {2.6, 2.6, true, false}, smallest()}
}

// smallest takes the least room that can still be read.
func smallest() style { return style{leastEM, leastEM, true, true} }

// textLine is one line of a legend, its base line below mm from its field's top.
type textLine struct {
	field
	face      *typeface
	text      string
	below, em float64
}

// setLegend sets a plate's legend in the fields: in the first alone if it can be, else in all of them; as large as it
// fits whole, then with parts broken between words; at last broken anywhere but in figures, and what is left over cut.
func setLegend(p Plate, fields []field) []textLine {
	faces := [2]*typeface{bold(), regular()}
	title, details := p.title(), p.details()
	for _, n := range [2]int{min(1, len(fields)), len(fields)} {
		for _, words := range [2]bool{false, true} {
			for _, s := range styles() {
				c := &compositor{fields: fields[:n], words: words}
				if c.setAll(s, faces, title, details) {
					return c.lines
				}
			}
		}
	}
	c := &compositor{fields: fields, words: true, anywhere: true}
	for _, part := range p.figures() {
		c.firm = append(c.firm, c.units(part)...)
	}
	c.setAll(smallest(), faces, title, details)
	return c.lines
}

// compositor fills fields with lines.
type compositor struct {
	fields          []field
	words, anywhere bool     // where parts may be broken
	firm            []string // words that may not be, anywhere or not
	lines           []textLine

	at   int     // the field under way
	used float64 // mm of its height
	pen  float64 // ems of the last line
}

// setAll sets the title in the first face and the details in the second; run on, all in one.
func (c *compositor) setAll(s style, faces [2]*typeface, title string, details []string) bool {
	switch {
	case s.light:
		return c.set(faces[1], s.titleEM, detailPitch, append([]string{title}, details...))
	case s.runOn:
		return c.set(faces[0], s.titleEM, titlePitch, append([]string{title}, details...))
	}
	return c.set(faces[0], s.titleEM, titlePitch, []string{title}) && c.set(faces[1], s.detailEM, detailPitch, details)
}

// set puts parts into lines of their own; false where they do not all fit.
func (c *compositor) set(face *typeface, em, pitch float64, parts []string) bool {
	fresh := true
	for _, part := range parts {
		space := between
		for _, unit := range c.units(part) {
			if !c.put(face, em, pitch, unit, space, fresh) {
				return false
			}
			space, fresh = " ", false
		}
	}
	return true
}

// units are what a part may be broken into.
func (c *compositor) units(part string) []string {
	if !c.words {
		return []string{part}
	}
	return strings.FieldsFunc(part, func(r rune) bool { return r == ' ' || c.anywhere && string(r) == hold })
}

// put sets one unit: on the last line where it fits there, else on the next line or in the next
// field that is long enough.
func (c *compositor) put(face *typeface, em, pitch float64, unit, space string, fresh bool) bool {
	if !fresh {
		last := &c.lines[len(c.lines)-1]
		if w := face.width(space + unit); c.pen+w <= last.long()/em {
			last.text += space + unit
			c.pen += w
			return true
		}
	}
	rest := space + unit
	for c.open(face, em, pitch) {
		last := &c.lines[len(c.lines)-1]
		if c.pen = face.width(unit); c.pen <= last.long()/em {
			last.text = unit
			return true
		}
		if c.anywhere && !slices.Contains(c.firm, unit) {
			n := face.reach(unit, last.long()/em)
			last.text, unit = unit[:n], unit[n:]
			rest = unit
			continue
		}
		if c.lines = c.lines[:len(c.lines)-1]; len(c.lines) == 0 || c.used > pitch*em+1e-9 {
			return false // the legend begins in its first field; a line left empty would look like its end
		}
		c.at, c.used = c.at+1, 0
	}
	if n := len(c.lines); c.anywhere && n > 0 {
		last := &c.lines[n-1]
		last.text = face.fit(last.text+rest, last.long()/em)
	}
	return false
}

// open starts the next line there is room for.
func (c *compositor) open(face *typeface, em, pitch float64) bool {
	for ; c.at < len(c.fields); c.at, c.used = c.at+1, 0 {
		f := c.fields[c.at]
		if c.used+float64(lastPitch*em) <= f.high()+1e-9 {
			c.lines = append(c.lines, textLine{field: f, face: face, below: c.used + float64(baseEM*em), em: em})
			c.used += float64(pitch * em)
			return true
		}
		if len(c.lines) == 0 {
			return false
		}
	}
	return false
}

// drawLegend draws a plate's legend, field by field. The rare accent that stands out of its line may reach into the
// gap round the field, not across it.
func (l *Layout) drawLegend(p Plate, fields []field) []stamp {
	const reach = 0.6 // of the gap: ring and acute on a bold capital A, the tallest there is
	gap := newTable(l).gap
	var stamps []stamp
	lines := setLegend(p, fields)
	for _, f := range fields {
		c := l.newCanvas(f.grown(float64(reach*gap[0]), float64(reach*gap[1])))
		for _, s := range lines {
			if s.field == f {
				s.draw(&c.path)
			}
		}
		c.flush()
		stamps = append(stamps, c.stamp)
	}
	return stamps
}

// draw draws the line's outlines.
func (s textLine) draw(p *path) {
	if s.turned {
		s.face.set(p, s.text, s.x+s.below, s.bottom(), s.em, true)
	} else {
		s.face.set(p, s.text, s.x, s.y+s.below, s.em, false)
	}
}
