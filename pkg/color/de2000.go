package color

import "math"

// DeltaE00 is the CIEDE2000 colour difference with kL = kC = kH = 1: about 1 is just visible side by side.
// It is symmetric.
//
// Source: ISO/CIE 11664-6; G. Sharma, W. Wu, E. N. Dalal, Color Res. Appl. 30(1) 21-30 (2005), whose 34 pairs the
// test holds.
func DeltaE00(a, b Lab) float64 {
	p, q := adjusted(a, b)
	dl, dc := q.l-p.l, q.c-p.c
	dh := 2 * math.Sqrt(p.c*q.c) * math.Sin(hueStep(p, q)/2)

	meanL, meanC, meanH := (p.l+q.l)/2, (p.c+q.c)/2, meanHue(p, q)
	sl, sc, sh := weights00(meanL, meanC, meanH)
	l, c, h := dl/sl, dc/sc, dh/sh
	sum := float64(l*l) + float64(c*c) + float64(h*h) + float64(rotation00(meanC, meanH)*c*h)
	return math.Sqrt(max(sum, 0))
}

// lch is lightness, adjusted chroma C' and hue h' in radians 0..2 pi.
type lch struct{ l, c, h float64 }

// adjusted stretches the a axis near grey (G of the formula) and goes to polar coordinates.
func adjusted(a, b Lab) (p, q lch) {
	c7 := pow7((a.Chroma() + b.Chroma()) / 2)
	g := 0.5 * (1 - math.Sqrt(c7/(c7+6103515625))) // 25^7
	return polar(a, 1+g), polar(b, 1+g)
}

func polar(c Lab, stretch float64) lch {
	a := c.A * stretch
	h := math.Atan2(c.B, a)
	if h < 0 {
		h += 2 * math.Pi
	}
	return lch{c.L, math.Hypot(a, c.B), h}
}

// halfTurn is pi with room for rounding: hues of exactly opposite colours count as a half turn apart, not more (pairs
// 9 and 10 of the paper).
const halfTurn = math.Pi + 1e-9

// hueStep is the hue difference along the shorter way; 0 where either colour is grey.
func hueStep(p, q lch) float64 {
	d := q.h - p.h
	switch {
	case p.c*q.c == 0:
		return 0
	case d > halfTurn:
		return d - 2*math.Pi
	case d < -halfTurn:
		return d + 2*math.Pi
	}
	return d
}

// meanHue is the hue halfway along the shorter way; the sum of both where either colour is grey, as the paper has it.
func meanHue(p, q lch) float64 {
	sum := p.h + q.h
	switch {
	case p.c*q.c == 0:
		return sum
	case math.Abs(p.h-q.h) <= halfTurn:
		return sum / 2
	case sum < 2*math.Pi:
		return sum/2 + math.Pi
	}
	return sum/2 - math.Pi
}

// weights00 are S_L, S_C and S_H.
func weights00(l, c, h float64) (sl, sc, sh float64) {
	t := 1 - float64(0.17*math.Cos(h-rad(30))) + float64(0.24*math.Cos(2*h)) +
		float64(0.32*math.Cos(3*h+rad(6))) - float64(0.20*math.Cos(4*h-rad(63)))
	l50 := (l - 50) * (l - 50)
	return 1 + 0.015*l50/math.Sqrt(20+l50), 1 + float64(0.045*c), 1 + float64(0.015*c*t)
}

// rotation00 is R_T, the turn of the ellipses in the blue region.
func rotation00(c, h float64) float64 {
	c7 := pow7(c)
	u := (h*180/math.Pi - 275) / 25
	turn := rad(60 * math.Exp(-u*u))
	return -2 * math.Sqrt(c7/(c7+6103515625)) * math.Sin(turn)
}

func pow7(v float64) float64 { c := v * v * v; return c * c * v }

func rad(deg float64) float64 { return deg * math.Pi / 180 }
