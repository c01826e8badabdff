package fault

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Checker collects every field of a document that cannot be, each with the value, the limit and the unit.
type Checker struct{ faults List }

// Err gives what was found, nil for nothing.
func (c *Checker) Err() error { return c.faults.Err() }

// Add takes over the faults of err, nil for none.
func (c *Checker) Add(err error) { c.faults.Add(err) }

// Addf names one field at fault.
func (c *Checker) Addf(field, code, format string, args ...any) {
	c.faults.Add(Invalidf(field, code, format, args...))
}

// Between wants value in [low, high]; NaN is outside. unit follows the figures in the message.
func (c *Checker) Between(field string, value, low, high float64, unit string) {
	if !(value >= low && value <= high) {
		c.Addf(field, "out_of_range", "%g%s; %g to %g%s can be", value, unit, low, high, unit)
	}
}

// Optional is Between for a value that may be left out.
func (c *Checker) Optional(field string, value *float64, low, high float64, unit string) {
	if value != nil {
		c.Between(field, *value, low, high, unit)
	}
}

// OneOf wants one of the allowed words.
func (c *Checker) OneOf(field, value string, allowed ...string) {
	if !slices.Contains(allowed, value) {
		c.Addf(field, "unknown_value", "%q is not one of %q", value, allowed)
	}
}

// unseen tells a character that shows nothing and may turn what stands around it: controls, formats, line and paragraph
// separators. The two joiners that names in some scripts need are let through.
func unseen(r rune) bool {
	const zeroWidthNonJoiner, zeroWidthJoiner = 0x200c, 0x200d
	if r == zeroWidthNonJoiner || r == zeroWidthJoiner {
		return false
	}
	return r == utf8.RuneError || unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
}

// Text wants at most maxRunes characters, valid UTF-8, none of them unseen.
func (c *Checker) Text(field, value string, maxRunes int) {
	switch n := utf8.RuneCountInString(value); {
	case n > maxRunes:
		c.Addf(field, "too_long", "%d characters; %d can be", n, maxRunes)
	case strings.ContainsFunc(value, unseen):
		c.Addf(field, "control_character", "a control, formatting or broken character stands in it")
	}
}
