package fault

import (
	"slices"
	"strings"
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

// Text wants at most maxRunes characters, valid UTF-8, no control characters.
func (c *Checker) Text(field, value string, maxRunes int) {
	switch n := utf8.RuneCountInString(value); {
	case n > maxRunes:
		c.Addf(field, "too_long", "%d characters; %d can be", n, maxRunes)
	case strings.ContainsFunc(value, func(r rune) bool { return r < ' ' || r == 0x7f || r == utf8.RuneError }):
		c.Addf(field, "control_character", "a control character or a broken one stands in it")
	}
}
