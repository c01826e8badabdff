package draw

import (
	"image/color"
	"math"
)

// light is linear-light RGB on sRGB primaries; 1 is the picture's white, more is brighter than that.
type light [3]float64

// lit gives the light of an sRGB colour, 0xRRGGBB.
func lit(hex uint32) light {
	c := rgb(hex)
	return light{linear(c.R), linear(c.G), linear(c.B)}
}

func linear(v uint8) float64 {
	s := float64(v) / 255
	if s <= 0.04045 {
		return s / 12.92
	}
	return math.Pow((s+0.055)/1.055, 2.4)
}

func (a light) add(b light) light { return light{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }

func (a light) mul(k float64) light { return light{a[0] * k, a[1] * k, a[2] * k} }

func (a light) tint(b light) light { return light{a[0] * b[0], a[1] * b[1], a[2] * b[2]} }

func (a light) mix(b light, t float64) light {
	return light{mix(a[0], b[0], t), mix(a[1], b[1], t), mix(a[2], b[2], t)}
}

// encoder turns light into sRGB bytes through a table with a soft shoulder, so that glows whiten instead of clipping.
type encoder struct{ table [encoderSize]uint8 }

const (
	encoderSize = 1 << 14
	encoderTop  = 8.0 // light beyond this is white
)

func newEncoder() *encoder {
	e := &encoder{}
	for i := range e.table {
		t := float64(i) / (encoderSize - 1)
		v := shoulder(t * t * encoderTop)
		s := 12.92 * v
		if v > 0.0031308 {
			s = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		e.table[i] = uint8(math.Round(255 * min(s, 1)))
	}
	return e
}

// shoulder leaves light up to 0.6 as it is and bends what is brighter towards 1.
func shoulder(v float64) float64 {
	const knee = 0.6
	if v <= knee {
		return v
	}
	return 1 - (1-knee)*math.Exp(-(v-knee)/(1-knee))
}

func (e *encoder) at(v float64) uint8 {
	t := math.Sqrt(min(max(v, 0), encoderTop) / encoderTop)
	return e.table[int(t*(encoderSize-1)+0.5)]
}

func (e *encoder) bytes(l light, alpha float64) color.NRGBA {
	a := uint8(min(max(alpha, 0), 1)*255 + 0.5)
	if a == 0 {
		return color.NRGBA{}
	}
	return color.NRGBA{R: e.at(l[0]), G: e.at(l[1]), B: e.at(l[2]), A: a}
}

// stop is a colour at a place on a gradient.
type stop struct {
	at    float64
	light light
}

// gradient gives the light at t between stops in rising order, smooth in perceived lightness (cube roots are mixed).
func gradient(stops []stop, t float64) light {
	last := len(stops) - 1
	if t <= stops[0].at {
		return stops[0].light
	}
	for i := range last {
		a, b := stops[i], stops[i+1]
		if t < b.at {
			return cubeMix(a.light, b.light, (t-a.at)/(b.at-a.at))
		}
	}
	return stops[last].light
}

func cubeMix(a, b light, t float64) light {
	var out light
	for i := range out {
		c := mix(math.Cbrt(a[i]), math.Cbrt(b[i]), t)
		out[i] = c * c * c
	}
	return out
}
