package ink

import (
	"fmt"

	"tamis/pkg/color"
)

// Stack is inks in press order on a ground. It is read only: safe for concurrent use.
type Stack struct {
	layers []layer
	ground Light
}

// layer is the solid's affine map of what lies under it: offset + slope * under, per channel.
type layer struct{ offset, slope Light }

// NewStack makes the model of these inks, first printed first, on the ground.
//
// Cards whose white is not lighter than their black in some channel would divide by nothing; there the ink counts as
// hiding (slope 0, its colour over white).
func NewStack(inks []Ink, cards Cards, ground color.Lab) *Stack {
	s := &Stack{layers: make([]layer, len(inks)), ground: LightOf(ground)}
	w, k := LightOf(cards.White), LightOf(cards.Black)
	for i, in := range inks {
		s.layers[i] = newLayer(LightOf(in.OverWhite), LightOf(in.OverBlack), w, k)
	}
	return s
}

// newLayer: R(B) = Rk + (Rw-Rk) (B-K)/(W-K).
func newLayer(rw, rk, w, k Light) layer {
	var l layer
	for c := range 3 {
		span := w[c] - k[c]
		if span <= 0 {
			l.offset[c] = rw[c]
			continue
		}
		l.slope[c] = (rw[c] - rk[c]) / span
		l.offset[c] = rk[c] - float64(l.slope[c]*k[c])
	}
	return l
}

// Len is the number of inks.
func (s *Stack) Len() int { return len(s.layers) }

// Ground is the light of the bare garment.
func (s *Stack) Ground() Light { return s.ground }

// Predict gives the colour of the print at these coverages, 0..1, one an ink in press order.
func (s *Stack) Predict(cov []float64) color.Lab { return s.Light(cov).Lab() }

// Light gives the print's reflectance in the model's channels. It panics when cov is not one an ink.
func (s *Stack) Light(cov []float64) Light {
	if len(cov) != len(s.layers) {
		panic(fmt.Sprintf("ink: %d coverages for %d inks", len(cov), len(s.layers)))
	}
	r, g, b := s.ground[0], s.ground[1], s.ground[2]
	for i := range s.layers {
		a := cov[i]
		if a == 0 { // most inks are not at most places
			continue
		}
		l := &s.layers[i]
		r += float64(a * (l.solid(0, r) - r))
		g += float64(a * (l.solid(1, g) - g))
		b += float64(a * (l.solid(2, b) - b))
	}
	return Light{r, g, b}
}

// solid is what the solid makes of e in a channel.
func (l *layer) solid(c int, e float64) float64 { return l.offset[c] + float64(l.slope[c]*e) }

// Derive gives the light as Light does, and in grad[i] its derivative by cov[i]. grad is one an ink.
//
// The stack is affine in each coverage: the derivative is what the solid adds to the light under it, times what the
// inks above let through.
func (s *Stack) Derive(cov []float64, grad []Light) Light {
	r, g, b := s.ground[0], s.ground[1], s.ground[2]
	for i := range s.layers {
		l, a := &s.layers[i], cov[i]
		d := Light{l.solid(0, r) - r, l.solid(1, g) - g, l.solid(2, b) - b}
		grad[i] = d
		r, g, b = r+float64(a*d[0]), g+float64(a*d[1]), b+float64(a*d[2])
	}
	tr, tg, tb := 1.0, 1.0, 1.0
	for i := len(s.layers) - 1; i >= 0; i-- {
		l, a, d := &s.layers[i].slope, cov[i], &grad[i]
		d[0], d[1], d[2] = d[0]*tr, d[1]*tg, d[2]*tb
		tr *= 1 - a + float64(a*l[0])
		tg *= 1 - a + float64(a*l[1])
		tb *= 1 - a + float64(a*l[2])
	}
	return Light{r, g, b}
}
