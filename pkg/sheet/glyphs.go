package sheet

import (
	"strings"

	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
)

// missing stands for a character the sheet's typeface lacks.
const missing = '□'

// printable replaces what the typeface lacks by a visible box. The PDF library would fail on characters beyond the basic
// plane, and print nothing for others.
func (p *page) printable(s string) string {
	return strings.Map(func(r rune) rune {
		glyph, err := p.face.GlyphIndex(nil, r)
		if r > 0xffff || err != nil || glyph == 0 {
			return missing
		}
		return r
	}, s)
}

// typeface parses the sheet's typeface, which is part of the program.
func typeface() *sfnt.Font {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		panic("sheet: " + err.Error())
	}
	return f
}
