package color

import (
	"fmt"
	"math"
	"strconv"

	"tamis/pkg/fault"
)

// RGB8 is an sRGB colour of 8 bits a channel.
type RGB8 struct{ R, G, B uint8 }

// Linear is light: linear sRGB primaries, 0..1 inside the gamut.
type Linear struct{ R, G, B float64 }

// ParseHex reads "#rrggbb" or "rrggbb", either case. Anything else is fault.Invalid; the caller knows the field.
func ParseHex(s string) (RGB8, error) {
	digits := s
	if len(digits) == 7 && digits[0] == '#' {
		digits = digits[1:]
	}
	v, err := strconv.ParseUint(digits, 16, 32)
	if err != nil || len(digits) != 6 {
		return RGB8{}, fault.Invalidf("", "color_not_hex", "%.20q is not a colour of the form #rrggbb", s)
	}
	return RGB8{uint8(v >> 16), uint8(v >> 8), uint8(v)}, nil
}

// Hex gives "#rrggbb" in lower case.
func (c RGB8) Hex() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// Linear gives the light of c.
func (c RGB8) Linear() Linear {
	return Linear{Decode(float64(c.R) / 255), Decode(float64(c.G) / 255), Decode(float64(c.B) / 255)}
}

// Lab gives the CIELAB (D50) of c.
func (c RGB8) Lab() Lab { return c.Linear().XYZ().Lab() }

// RGB8 gives the nearest 8-bit sRGB colour, each channel clipped to the gamut.
func (c Lab) RGB8() RGB8 { return c.XYZ().Linear().RGB8() }

// Decode is the sRGB transfer curve from a code 0..1 to light 0..1. Source: IEC 61966-2-1:1999.
func Decode(code float64) float64 {
	if code <= 0.04045 {
		return code / 12.92
	}
	return math.Pow((code+0.055)/1.055, 2.4)
}

// Encode is the inverse of Decode; light outside 0..1 is clipped.
func Encode(light float64) float64 {
	switch {
	case light <= 0:
		return 0
	case light >= 1:
		return 1
	case light <= 0.0031308:
		return 12.92 * light
	}
	return float64(1.055*math.Pow(light, 1/2.4)) - 0.055
}

// RGB8 encodes light, clipped, to the nearest code.
func (l Linear) RGB8() RGB8 { return RGB8{code8(l.R), code8(l.G), code8(l.B)} }

func code8(light float64) uint8 { return uint8(float64(Encode(light)*255) + 0.5) }

// XYZ gives the tristimulus value under D50.
//
// Source: primaries of IEC 61966-2-1, Bradford adaptation from D65 (0.3127, 0.3290) to the ICC white; the figures
// were computed apart and agree with LittleCMS to 4 decimals of Lab.
func (l Linear) XYZ() XYZ {
	return XYZ{
		float64(0.4360413*l.R) + float64(0.3851129*l.G) + float64(0.1430458*l.B),
		float64(0.2224845*l.R) + float64(0.7169051*l.G) + float64(0.0606104*l.B),
		float64(0.0139202*l.R) + float64(0.0970672*l.G) + float64(0.7139126*l.B),
	}
}

// Linear is the inverse of Linear.XYZ: outside 0..1 where sRGB cannot show the colour.
func (x XYZ) Linear() Linear {
	return Linear{
		float64(3.134185668*x.X) + float64(-1.617208561*x.Y) + float64(-0.490693733*x.Z),
		float64(-0.978748072*x.X) + float64(1.916129817*x.Y) + float64(0.033433233*x.Z),
		float64(0.071963772*x.X) + float64(-0.228993703*x.Y) + float64(1.405753708*x.Z),
	}
}

// Encoder encodes light to codes without a power a channel, for loops over pixels. It is read only: safe for
// concurrent use.
type Encoder struct {
	from  [256]float64 // the least light that is nearest to the code
	first [encoderSteps + 1]uint8
}

// encoderSteps puts at most one code's border between two entries: codes lie 1/3294 of the light apart at the least.
const encoderSteps = 4096

// NewEncoder makes one.
func NewEncoder() *Encoder {
	e := &Encoder{}
	for k := 1; k < 256; k++ {
		e.from[k] = Decode((float64(k) - 0.5) / 255)
	}
	code := 0
	for i := range e.first {
		for code < 255 && float64(i)/encoderSteps >= e.from[code+1] {
			code++
		}
		e.first[i] = uint8(code)
	}
	return e
}

// RGB8 is Linear.RGB8.
func (e *Encoder) RGB8(l Linear) RGB8 { return RGB8{e.code(l.R), e.code(l.G), e.code(l.B)} }

func (e *Encoder) code(light float64) uint8 {
	if !(light > 0) {
		return 0
	}
	if light >= 1 {
		return 255
	}
	c := e.first[int(light*encoderSteps)]
	for c < 255 && light >= e.from[c+1] {
		c++
	}
	return c
}

// DecodeTable gives Decode for the 256 codes of a channel, for loops over pixels.
func DecodeTable() [256]float64 {
	var t [256]float64
	for i := range t {
		t[i] = Decode(float64(i) / 255)
	}
	return t
}
