package draw

import (
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// letters sets text from an outline font.
type letters struct {
	face *sfnt.Font
	buf  sfnt.Buffer
}

// newLetters reads one of the Go fonts; they ship with x/image, so a bad one is our own bug.
func newLetters(ttf []byte) *letters {
	face, err := sfnt.Parse(ttf)
	if err != nil {
		panic(err)
	}
	return &letters{face: face}
}

// set gives text as a figure on the baseline y = 0 from x = 0, and its width. emPX is the font size, trackPX is added
// after every letter.
func (l *letters) set(text string, emPX, trackPX float64) (shape, float64) {
	units := fixed.I(int(l.face.UnitsPerEm()))
	scale := emPX / float64(l.face.UnitsPerEm())
	var out shape
	x := 0.0
	for _, r := range text {
		glyph, err := l.face.GlyphIndex(&l.buf, r)
		if err != nil {
			panic(err)
		}
		segments, err := l.face.LoadGlyph(&l.buf, glyph, units, nil)
		if err != nil {
			panic(err)
		}
		out = append(out, contours(segments, pt{x, 0}, scale)...)
		advance, err := l.face.GlyphAdvance(&l.buf, glyph, units, font.HintingNone)
		if err != nil {
			panic(err)
		}
		x += float64(advance)/64*scale + trackPX
	}
	return out, x - trackPX
}

// contours flattens a glyph's outline.
func contours(segments sfnt.Segments, origin pt, scale float64) shape {
	at := func(p fixed.Point26_6) pt {
		return origin.add(pt{float64(p.X) / 64, float64(p.Y) / 64}.mul(scale))
	}
	var out shape
	for _, s := range segments {
		last := len(out) - 1
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			out = append(out, []pt{at(s.Args[0])})
		case sfnt.SegmentOpLineTo:
			out[last] = append(out[last], at(s.Args[0]))
		case sfnt.SegmentOpQuadTo:
			a, b, c := out[last][len(out[last])-1], at(s.Args[0]), at(s.Args[1])
			out[last] = append(out[last], bezier(a, a.lerp(b, 2.0/3), c.lerp(b, 2.0/3), c)[1:]...)
		case sfnt.SegmentOpCubeTo:
			a := out[last][len(out[last])-1]
			out[last] = append(out[last], bezier(a, at(s.Args[0]), at(s.Args[1]), at(s.Args[2]))[1:]...)
		}
	}
	return out
}

// arched bends a line of text of the given width over the top of a circle, its baseline on the circle.
func arched(text shape, width float64, centre pt, r float64) shape {
	return text.dense().moved(func(p pt) pt {
		return polar(centre, r-p.y, -math.Pi/2+(p.x-width/2)/r)
	})
}
