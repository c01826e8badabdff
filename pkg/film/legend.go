package film

import (
	"fmt"
	"strings"
)

// The legend's lines: em and pitch in millimetres of the first and of the others.
const (
	titleEM, titlePitch   = 4.2, 4.8
	leastEM               = 2.2 // 1.6 mm capitals: what a film still shows to the naked eye
	detailEM, detailPitch = 3.0, 3.6
	legendMostMM          = 140.0
	legendLeastMM         = 20.0 // what is looked for first
	legendShortMM         = 12.0 // narrower than this nothing useful is said
	legendLeastHighMM     = 2.5  // lower than this it cannot be read
)

// legend finds the place of the plate's legend: the head, then the foot, level with the print, then from the film's edge
// on, then turned along a side; a short one only where nothing longer is free.
func (t *table) legend() {
	head, side := min(t.my-2*gapMM, titlePitch+3*detailPitch), min(t.mx-2*gapMM, titlePitch+3*detailPitch)
	for _, least := range [2]float64{legendLeastMM, legendShortMM} {
		for _, from := range [2]float64{t.mx, gapMM} {
			if head < legendLeastHighMM {
				break
			}
			for _, y := range [2]float64{t.my/2 - head/2, t.h - t.my/2 - head/2} {
				if a := t.stretch(y, head, from, legendMostMM, least); a.w > 0 {
					t.takeLegend(a, false)
					return
				}
			}
		}
		if side < legendLeastHighMM {
			continue
		}
		for _, x := range [2]float64{t.mx/2 - side/2, t.w - t.mx/2 - side/2} {
			if a := t.stretchUp(x, side, gapMM, legendMostMM, least); a.w > 0 {
				t.takeLegend(a, true)
				return
			}
		}
	}
}

func (t *table) takeLegend(a area, turned bool) {
	t.out.legend, t.out.legendTurned = a, turned
	t.taken = append(t.taken, a)
}

// stretch is the first free area at this height from fromMM on, at most mostMM and at least leastMM wide; else none.
func (t *table) stretch(y, high, fromMM, mostMM, leastMM float64) area {
	return t.along(t.w, fromMM, mostMM, leastMM, func(x, w float64) area { return area{x, y, w, high} })
}

// stretchUp is the same along a side: the first free area from fromMM down.
func (t *table) stretchUp(x, wide, fromMM, mostMM, leastMM float64) area {
	return t.along(t.h, fromMM, mostMM, leastMM, func(y, h float64) area { return area{x, y, wide, h} })
}

// along looks for the first free area of a row or column of the page that is end mm long.
func (t *table) along(end, fromMM, mostMM, leastMM float64, at func(start, length float64) area) area {
	const step = 0.5
	for start := max(fromMM, gapMM); start+leastMM <= end-gapMM; start += step {
		if !t.free(at(start, leastMM)) {
			continue
		}
		length := leastMM
		for length+step <= mostMM && t.free(at(start, length+step)) {
			length += step
		}
		return at(start, length)
	}
	return area{}
}

// title is the legend's first line: press position and ink.
func (p Plate) title() string { return fmt.Sprintf("%d of %d  %s", p.N, p.Of, p.InkName) }

// details are the rest, what matters most first, since what finds no room is cut: the order, how the plate is screened,
// its mesh, its role.
func (p Plate) details() []string {
	var parts []string
	for _, s := range []string{p.Order, p.screening(), prefixed("mesh ", p.Mesh), strings.ReplaceAll(p.Role, "_", " ")} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return parts
}

// screening says ruling and angle, the scattered dot, or what stands in their place.
func (p Plate) screening() string {
	switch {
	case p.LPI > 0:
		return fmt.Sprintf("%.4g lpi  %.4g\u00b0", p.LPI, p.AngleDeg)
	case p.Screen != nil && p.Screen.DotXUM > 0:
		return fmt.Sprintf("dot %.3g \u00b5m", p.Screen.DotXUM)
	case p.Screen != nil:
		return fmt.Sprintf("%.4g lpi  %.4g\u00b0", p.Screen.ActualLPI, p.Screen.ActualAngleDeg)
	case p.Nearest:
		return "index"
	}
	return "line"
}

func prefixed(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}

// pageName is the legend in one line, for the TIFF's PageName; at most 250 characters of it.
func (p Plate) pageName() string {
	name := asciiOnly(strings.Join(append([]string{p.title()}, p.details()...), ", "))
	return name[:min(len(name), 250)]
}

// drawLegend sets the legend in its area: the title, then the details, as many to a line as fit; where it is
// only a line high, all in that line. Turned, its lines run up the page, the first at the left.
func (l *Layout) drawLegend(p Plate, a area, turned bool) stamp {
	c := l.newCanvas(a)
	face, head := regular(), bold()
	long, high := a.w, a.h
	if turned {
		long, high = a.h, a.w
	}
	set := func(f *typeface, s string, below, em float64) {
		if turned {
			f.set(&c.path, f.fit(s, long/em), a.x+below, a.bottom(), em, true)
		} else {
			f.set(&c.path, f.fit(s, long/em), a.x, a.y+below, em, false)
		}
	}
	em := min(titleEM, high/titlePitch*titleEM)
	base := 0.85 * em
	title, rows := p.title(), int((high-titlePitch)/detailPitch+1e-9)
	if rows < 1 {
		title = strings.Join(append([]string{title}, p.details()...), between)
	}
	em = max(min(em, leastEM), min(em, long/head.width(title))) // a long line is set smaller before it is cut
	set(head, title, base, em)
	for i, line := range flow(face, p.details(), long/detailEM, rows) {
		set(face, line, titlePitch+float64(i)*detailPitch+0.85*detailEM, detailEM)
	}
	c.flush()
	return c.stamp
}

// between stands between the parts of a line.
const between = "   "

// flow joins parts into lines of at most so many ems, and at most so many lines: what is left over joins the last,
// to be cut there. A part longer than a line has one of its own.
func flow(face *typeface, parts []string, ems float64, most int) []string {
	var lines []string
	for _, part := range parts {
		if n := len(lines); n > 0 {
			if joined := lines[n-1] + between + part; n == most || face.width(joined) <= ems {
				lines[n-1] = joined
				continue
			}
		}
		if most > 0 {
			lines = append(lines, part)
		}
	}
	return lines
}

// asciiOnly replaces what TIFF's text cannot hold.
func asciiOnly(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\u00b0':
			return 'd'
		case r == '\u00b5':
			return 'u'
		case r < 32 || r > 126:
			return '?'
		}
		return r
	}, s)
}
