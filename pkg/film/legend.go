package film

import (
	"fmt"
	"strings"
)

// The legend's lines: em and pitch in millimetres of the first and of the others.
const (
	titleEM, titlePitch   = 4.2, 4.8
	detailEM, detailPitch = 3.0, 3.6
	legendLeastMM         = 20.0 // narrower than this nothing useful is said
	legendLeastHighMM     = 2.5  // lower than this it cannot be read
)

// legend finds the widest stretch of a head or foot margin for the plate's legend, at most 140 mm of it.
func (t *table) legend() {
	high := min(t.my-2*gapMM, titlePitch+3*detailPitch)
	if high < legendLeastHighMM {
		return
	}
	for _, y := range [2]float64{t.my/2 - high/2, t.h - t.my/2 - high/2} {
		if a := t.stretch(y, high, t.mx, 140, legendLeastMM); a.w > 0 {
			t.out.legend = a
			t.taken = append(t.taken, a)
			return
		}
	}
}

// stretch is the first free area at this height from fromMM on, at most mostMM and at least leastMM wide; else none.
func (t *table) stretch(y, high, fromMM, mostMM, leastMM float64) area {
	const step = 0.5
	for x := max(fromMM, gapMM); x+leastMM <= t.w-gapMM; x += step {
		if !t.free(area{x, y, leastMM, high}) {
			continue
		}
		a := area{x, y, leastMM, high}
		for a.w+step <= mostMM && t.free(area{x, y, a.w + step, high}) {
			a.w += step
		}
		return a
	}
	return area{}
}

// title is the legend's first line: press position and ink.
func (p Plate) title() string { return fmt.Sprintf("%d of %d  %s", p.N, p.Of, p.InkName) }

// details are the rest: how the plate is screened, its mesh, the order, its role.
func (p Plate) details() []string {
	parts := []string{p.screening()}
	for _, s := range []string{prefixed("mesh ", p.Mesh), p.Order, strings.ReplaceAll(p.Role, "_", " ")} {
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
// only a line high, all in that line.
func (l *Layout) drawLegend(p Plate, a area) stamp {
	c := l.newCanvas(a)
	face, head := regular(), bold()
	em := min(titleEM, a.h/titlePitch*titleEM)
	title, rows := p.title(), int((a.h-titlePitch)/detailPitch+1e-9)
	if rows < 1 {
		title = strings.Join(append([]string{title}, p.details()...), between)
	} else { // a long name is set smaller before it is cut
		em = max(detailEM, min(em, a.w/head.width(title)))
	}
	head.set(&c.path, head.fit(title, a.w/em), a.x, a.y+0.85*min(titleEM, a.h/titlePitch*titleEM), em, false)
	y := a.y + titlePitch
	for _, line := range flow(face, p.details(), a.w/detailEM, rows) {
		face.set(&c.path, face.fit(line, a.w/detailEM), a.x, y+0.85*detailEM, detailEM, false)
		y += detailPitch
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
