package film

import (
	"fmt"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// typeface sets text: the Go fonts, made to be read at small sizes and free to embed.
type typeface struct {
	font *sfnt.Font
	buf  sfnt.Buffer
	unit float64 // font units an em
}

func newTypeface(ttf []byte) *typeface {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic(fmt.Sprint("film: the embedded typeface: ", err)) // it is part of the program
	}
	return &typeface{font: f, unit: float64(f.UnitsPerEm())}
}

func regular() *typeface { return newTypeface(goregular.TTF) }
func bold() *typeface    { return newTypeface(gobold.TTF) }

// The box that stands for a character the typeface lacks, in ems.
const (
	boxWidth, boxHeight, boxLine = 0.5, 0.7, 0.06
	boxAdvance                   = 0.6
)

// glyph finds a character's glyph; 0 for one the typeface lacks. Blanks and control characters read
// as spaces.
func (f *typeface) glyph(r rune) sfnt.GlyphIndex {
	if unicode.IsControl(r) || unicode.IsSpace(r) {
		r = ' '
	}
	g, err := f.font.GlyphIndex(&f.buf, r)
	if err != nil {
		return 0
	}
	return g
}

// advance is how far a character moves the pen, in ems.
func (f *typeface) advance(g sfnt.GlyphIndex) float64 {
	if g == 0 {
		return boxAdvance
	}
	a, err := f.font.GlyphAdvance(&f.buf, g, fixed.I(int(f.unit)), font.HintingNone)
	if err != nil {
		return boxAdvance
	}
	return float64(a) / 64 / f.unit
}

// width is a text's length in ems.
func (f *typeface) width(s string) float64 {
	w := 0.0
	for _, r := range s {
		w += f.advance(f.glyph(r))
	}
	return w
}

// fit shortens a text to so many ems, an ellipsis in place of what is left out; "" where not even that fits.
func (f *typeface) fit(s string, ems float64) string {
	const ellipsis = '\u2026'
	room := ems - f.advance(f.glyph(ellipsis))
	cut, w := -1, 0.0
	for at, r := range s {
		if w <= room {
			cut = at // up to here, an ellipsis still fits
		}
		if w += f.advance(f.glyph(r)); w > ems {
			if cut < 0 {
				return ""
			}
			return s[:cut] + string(ellipsis)
		}
	}
	return s
}

// reach is how many bytes of a text go into so many ems.
func (f *typeface) reach(s string, ems float64) int {
	w := 0.0
	for at, r := range s {
		if w += f.advance(f.glyph(r)); w > ems {
			return at
		}
	}
	return len(s)
}

// set draws a text on a path: its base line starts at (xMM, yMM) and runs right, or, turned, upward.
func (f *typeface) set(p *path, s string, xMM, yMM, emMM float64, turned bool) {
	pen := 0.0
	for _, r := range s {
		g := f.glyph(r)
		place := func(dx, dy float64) (float64, float64) { // ems right of the pen and below the base line
			along, across := float64((pen+dx)*emMM), float64(dy*emMM)
			if turned {
				return xMM + across, yMM - along
			}
			return xMM + along, yMM + across
		}
		if g == 0 {
			setBox(p, place)
		} else {
			f.setGlyph(p, g, place)
		}
		pen += f.advance(g)
	}
}

// setGlyph draws one glyph.
func (f *typeface) setGlyph(p *path, g sfnt.GlyphIndex, place func(dx, dy float64) (float64, float64)) {
	segments, err := f.font.LoadGlyph(&f.buf, g, fixed.I(int(f.unit)), nil)
	if err != nil {
		return
	}
	em := func(q fixed.Point26_6) (float64, float64) {
		return place(float64(q.X)/64/f.unit, float64(q.Y)/64/f.unit)
	}
	for _, s := range segments {
		x, y := em(s.Args[0])
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			p.move(x, y)
		case sfnt.SegmentOpLineTo:
			p.line(x, y)
		case sfnt.SegmentOpQuadTo:
			x1, y1 := em(s.Args[1])
			p.quad(x, y, x1, y1)
		}
	}
}

// setBox draws the box of a missing character: two rectangles, the inner the other way round.
func setBox(p *path, place func(dx, dy float64) (float64, float64)) {
	const l = boxLine
	for _, corners := range [2][4][2]float64{
		{{0.05, 0}, {0.05 + boxWidth, 0}, {0.05 + boxWidth, -boxHeight}, {0.05, -boxHeight}},
		{{0.05 + l, -l}, {0.05 + l, l - boxHeight}, {0.05 + boxWidth - l, l - boxHeight}, {0.05 + boxWidth - l, -l}},
	} {
		for i, c := range corners {
			if x, y := place(c[0], c[1]); i == 0 {
				p.move(x, y)
			} else {
				p.line(x, y)
			}
		}
	}
}
