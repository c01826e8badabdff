package separate

import (
	"math"

	"tamis/pkg/color"
)

// Weights of lightness, chroma and hue in the error of a node: an error of hue counts most, one of chroma least. A colour
// outside the gamut so goes to a printable one that is duller, and its hue and lightness are kept. Ours;
// TestColoursOutOfGamutGiveUpChromaFirst measures what each gives.
const (
	weightL = 1.0
	weightC = 0.8
	weightH = 1.3
)

// aim is a wanted colour with the metric around it: rows of m turn a CIELAB difference into weighted lightness,
// chroma and hue, scaled as CIE94 scales them, so that one unit looks about alike everywhere.
type aim struct {
	lab color.Lab
	m   [3][3]float64
}

// newAim makes the aim for a colour. One darker than darkestL, the darkest a single layer gives here, is asked for at
// darkestL: below it solver after solver would pile inks under black for two units of lightness no one sees.
//
// Near grey the directions of chroma and hue blend into one circle, since hue means nothing there.
//
// Source: CIE 116-1995 (CIE94) for 1 + 0.045 C and 1 + 0.015 C.
func newAim(lab color.Lab, darkestL float64) aim {
	lab.L = max(lab.L, darkestL)
	c := lab.Chroma()
	hue := math.Atan2(lab.B, lab.A)
	sin, cos := math.Sincos(hue)
	sure := c / (c + 5) // how much hue there is to keep
	wc := (1 + float64(sure*(weightC-1))) / (1 + float64(0.045*c))
	wh := (1 + float64(sure*(weightH-1))) / (1 + float64(0.015*c))
	return aim{lab: lab, m: [3][3]float64{
		{weightL, 0, 0},
		{0, wc * cos, wc * sin},
		{0, -wh * sin, wh * cos},
	}}
}

// residual is the weighted difference of a print colour to the aim.
func (a *aim) residual(c color.Lab) [3]float64 {
	d := [3]float64{c.L - a.lab.L, c.A - a.lab.A, c.B - a.lab.B}
	var r [3]float64
	for k := range 3 {
		r[k] = float64(a.m[k][0]*d[0]) + float64(a.m[k][1]*d[1]) + float64(a.m[k][2]*d[2])
	}
	return r
}

// times is m x s.
func (a *aim) times(s [3][3]float64) [3][3]float64 {
	var out [3][3]float64
	for i := range 3 {
		for j := range 3 {
			out[i][j] = float64(a.m[i][0]*s[0][j]) + float64(a.m[i][1]*s[1][j]) + float64(a.m[i][2]*s[2][j])
		}
	}
	return out
}
