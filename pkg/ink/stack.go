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
	e := s.ground
	for i := range s.layers {
		e = s.layers[i].over(e, cov[i])
	}
	return e
}

// over is what shows when a fraction a of e is covered by the solid.
func (l *layer) over(e Light, a float64) Light {
	for c := range 3 {
		solid := l.offset[c] + float64(l.slope[c]*e[c])
		e[c] += float64(a * (solid - e[c]))
	}
	return e
}

// Derive gives the light as Light does, and in grad[i] its derivative by cov[i]. grad is one an ink.
//
// The stack is affine in each coverage: the derivative is what the solid adds to the light under it, times what the
// inks above let through.
func (s *Stack) Derive(cov []float64, grad []Light) Light {
	e := s.ground
	for i := range s.layers {
		l := &s.layers[i]
		for c := range 3 {
			solid := l.offset[c] + float64(l.slope[c]*e[c])
			grad[i][c] = solid - e[c]
			e[c] += float64(cov[i] * grad[i][c])
		}
	}
	through := Light{1, 1, 1}
	for i := len(s.layers) - 1; i >= 0; i-- {
		for c := range 3 {
			grad[i][c] *= through[c]
			through[c] *= 1 - cov[i] + float64(cov[i]*s.layers[i].slope[c])
		}
	}
	return e
}
