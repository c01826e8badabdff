package film

import (
	"fmt"
	"strings"
)

// title is the legend's first line: press position and ink.
func (p Plate) title() string { return fmt.Sprintf("%d of %d  %s", p.N, p.Of, p.InkName) }

// details is the second: what the plate is and how it is screened.
func (p Plate) details() string {
	var parts []string
	if p.Role != "" {
		parts = append(parts, p.Role)
	}
	switch {
	case p.LPI > 0:
		parts = append(parts, fmt.Sprintf("%.4g lpi  %.4g\u00b0", p.LPI, p.AngleDeg))
	case p.Screen != nil && p.Screen.DotXUM > 0:
		parts = append(parts, fmt.Sprintf("dot %.3g um", p.Screen.DotXUM))
	case p.Nearest:
		parts = append(parts, "index")
	default:
		parts = append(parts, "line")
	}
	if p.Mesh != "" {
		parts = append(parts, "mesh "+p.Mesh)
	}
	return strings.Join(parts, "  ")
}

// asciiOnly replaces what TIFF's text cannot hold.
func asciiOnly(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\u00b0':
			return 'd'
		case r < 32 || r > 126:
			return '?'
		}
		return r
	}, s)
}
