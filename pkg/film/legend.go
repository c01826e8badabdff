package film

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// partMost is how many characters of one text a legend looks at: more than any film shows, and a bound on its cost.
const partMost = 200

// title is the legend's first part: press position and ink. It is broken between the two alone.
func (p Plate) title() string {
	return strings.TrimSpace(held(fmt.Sprintf("%d of %d", p.N, p.Of)) + "  " + printable(p.InkName))
}

// details are the rest, what matters most first, since what finds no room is cut: which part it is, the order, the
// plate's role, how it is screened, its mesh.
func (p Plate) details() []string { return append(p.names(), p.figures()...) }

// names are the details that may be broken anywhere at need.
func (p Plate) names() []string {
	return notEmpty(held(p.part), printable(p.Order), printable(strings.ReplaceAll(p.Role, "_", " ")))
}

// figures are those that would say something else if broken.
func (p Plate) figures() []string { return notEmpty(held(p.screening()), printable(p.mesh())) }

// notEmpty leaves out what is empty.
func notEmpty(texts ...string) []string {
	return slices.DeleteFunc(texts, func(s string) bool { return s == "" })
}

func (p Plate) mesh() string {
	if p.Mesh == "" {
		return ""
	}
	return held("mesh ") + p.Mesh
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

// hold is a space that no line is broken at.
const hold = "\u00a0"

func held(s string) string { return strings.ReplaceAll(s, " ", hold) }

// printable makes a text from outside fit to be set: letters and their accents joined where Unicode has them as one,
// blanks and controls as spaces, and what has no shape of its own left out: direction marks, joiners, selectors.
// What the typeface lacks stays, to be seen as a box.
func printable(s string) string {
	var b strings.Builder
	n := 0
	for _, r := range s {
		if n++; n > partMost {
			break
		}
		b.WriteRune(r)
	}
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case string(r) == hold:
			return r
		case unicode.IsControl(r), unicode.IsSpace(r):
			return ' '
		case unicode.Is(unicode.Cf, r), unicode.Is(unicode.Variation_Selector, r):
			return -1
		}
		return r
	}, norm.NFC.String(b.String())))
}

// pageName is the legend in one line, for the TIFF's PageName: ASCII, at most 250 characters. An order's reference
// of which no letter and no figure is left is left out.
func (p Plate) pageName() string {
	says := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }
	if !strings.ContainsFunc(plainLetters(printable(p.Order)), says) {
		p.Order = ""
	}
	name := plainLetters(strings.Join(append([]string{p.title()}, p.details()...), ", "))
	return name[:min(len(name), 250)]
}

// plainLetters is a text in ASCII: letters without their accents, a question mark for what has no plain letter.
func plainLetters(s string) string {
	plain := strings.NewReplacer("\u00b0", "d", "\u03bc", "u", "\u00df", "ss", "\u00e6", "ae", "\u00c6", "AE",
		"\u0153", "oe", "\u0152", "OE", "\u00f8", "o", "\u00d8", "O", "\u0142", "l", "\u0141", "L", "\u0111", "d",
		"\u0110", "D", "\u00f0", "d", "\u00d0", "D", "\u00fe", "th", "\u00de", "Th", "\u0131", "i",
		"\u2013", "-", "\u2014", "-", "\u2019", "'", "\u2018", "'", "\u201c", "\"", "\u201d", "\"", "\u00d7", "x")
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Mn, r):
			return -1
		case r < 32 || r > 126:
			return '?'
		}
		return r
	}, plain.Replace(norm.NFKD.String(s)))
}
