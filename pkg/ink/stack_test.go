package ink

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tamis/pkg/color"
)

// demichel is the explicit sum: every one of the 2^N overprints with its probability.
func demichel(s *Stack, cov []float64) Light {
	var sum Light
	for bits := range 1 << len(cov) {
		w, e := 1.0, s.ground
		for i := range cov {
			if bits>>i&1 == 0 {
				w *= 1 - cov[i]
				continue
			}
			w *= cov[i]
			for c := range 3 {
				e[c] = s.layers[i].offset[c] + s.layers[i].slope[c]*e[c]
			}
		}
		for c := range 3 {
			sum[c] += w * e[c]
		}
	}
	return sum
}

func TestStackOfOneChannelGivesTheWorkedFigures(t *testing.T) {
	const source = "worked apart by the explicit 8-term sum; W .90, K .04, ground .03"
	w, k := Light{.9, .9, .9}, Light{.04, .04, .04}
	flat := func(v float64) Light { return Light{v, v, v} }
	s := &Stack{ground: flat(.03)}
	for _, ink := range [][2]float64{{.84, .66}, {.10, .06}, {.78, .30}} {
		s.layers = append(s.layers, newLayer(flat(ink[0]), flat(ink[1]), w, k))
	}
	rows := []struct {
		cov  []float64
		want float64
	}{
		{
			[]float64{.8, 0, 0},
			0.53232558,
		}, {[]float64{.8, .5, 0}, 0.30761222}, {[]float64{.8, .5, .25}, 0.34305041},
	}
	for _, r := range rows {
		got := s.Light(r.cov)[0]
		if math.Abs(got-r.want) > 5e-9 {
			t.Errorf("%v: %.8f, want %.8f (%s)", r.cov, got, r.want, source)
		}
		if sum := demichel(s, r.cov)[0]; math.Abs(got-sum) > 1e-12 {
			t.Errorf("%v: %.15f in one pass, %.15f as a sum", r.cov, got, sum)
		}
	}
}

func drawnStack(t *rapid.T) (*Stack, []float64) {
	lab := func(lo, hi float64, name string) color.Lab {
		c := rapid.Float64Range(-40, 40)
		return color.Lab{L: rapid.Float64Range(lo, hi).Draw(t, name), A: c.Draw(t, "a"), B: c.Draw(t, "b")}
	}
	n := rapid.IntRange(1, 6).Draw(t, "inks")
	inks, cov := make([]Ink, n), make([]float64, n)
	for i := range inks {
		inks[i] = Ink{OverWhite: lab(20, 95, "white"), OverBlack: lab(8, 20, "black")}
		cov[i] = rapid.Float64Range(0, 1).Draw(t, "cov")
	}
	return NewStack(inks, DefaultCards(), lab(5, 98, "ground")), cov
}

func TestOnePassIsTheDemichelSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, cov := drawnStack(t)
		got, want := s.Light(cov), demichel(s, cov)
		for c := range 3 {
			if math.Abs(got[c]-want[c]) > 1e-12 {
				t.Fatalf("channel %d: %.15f in one pass, %.15f as a sum", c, got[c], want[c])
			}
		}
	})
}

func TestDeriveIsTheDerivative(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, cov := drawnStack(t)
		grad := make([]Light, len(cov))
		at := s.Derive(cov, grad)
		for i := range cov {
			moved := append([]float64{}, cov...)
			moved[i] += 0.125 // exact for any step: the light is affine in each coverage
			for c, v := range s.Light(moved) {
				if math.Abs(v-at[c]-0.125*grad[i][c]) > 1e-12 {
					t.Fatalf("ink %d channel %d: slope %g, by difference %g", i, c, grad[i][c], (v-at[c])/0.125)
				}
			}
		}
	})
}

func TestASolidOverItsCardIsItsMeasurement(t *testing.T) {
	in := Ink{OverWhite: color.Lab{L: 54, A: 60, B: 40}, OverBlack: color.Lab{L: 30, A: 30, B: 18}}
	cards := DefaultCards()
	for _, r := range []struct{ card, want color.Lab }{{cards.White, in.OverWhite}, {cards.Black, in.OverBlack}} {
		got := NewStack([]Ink{in}, cards, r.card).Predict([]float64{1})
		if e := color.DeltaE00(got, r.want); e > 1e-4 {
			t.Errorf("over %v: %v, measured %v", r.card, got, r.want)
		}
	}
}

func TestNoInkShowsTheGround(t *testing.T) {
	ground := color.Lab{L: 33, A: 10, B: -20}
	s := NewStack([]Ink{{OverWhite: color.Lab{L: 50}}}, DefaultCards(), ground)
	if e := color.DeltaE00(s.Predict([]float64{0}), ground); e > 1e-4 {
		t.Errorf("bare is %.4f off the ground", e)
	}
}

func TestLabSlopeIsTheDerivativeOfLab(t *testing.T) {
	l := Light{0.3, 0.2, 0.5}
	_, slope := l.LabSlope()
	for c := range 3 {
		m := l
		m[c] += 1e-6
		a, b := m.Lab(), l.Lab()
		for k, d := range [3]float64{a.L - b.L, a.A - b.A, a.B - b.B} {
			if math.Abs(d/1e-6-slope[k][c]) > 0.01 {
				t.Errorf("row %d channel %d: %g, by difference %g", k, c, slope[k][c], d/1e-6)
			}
		}
	}
}

func TestWhitesAndBlacksAreKnown(t *testing.T) {
	rows := []struct {
		in           Ink
		white, black bool
	}{
		{Ink{OverWhite: color.Lab{L: 94}, OverBlack: color.Lab{L: 88, A: -1, B: -2}}, true, false},
		{
			Ink{OverWhite: color.Lab{L: 90, A: -5, B: 80}, OverBlack: color.Lab{L: 80, A: -5, B: 60}},
			false,
			false,
		},
		{Ink{OverWhite: color.Lab{L: 16}, OverBlack: color.Lab{L: 12}}, false, true},
		{
			Ink{OverWhite: color.Lab{L: 24, A: 10, B: -40}, OverBlack: color.Lab{L: 18, A: 5, B: -20}},
			false,
			false,
		},
	}
	for _, r := range rows {
		if r.in.IsWhite() != r.white || r.in.IsBlack() != r.black {
			t.Errorf("%v over white: white %t black %t", r.in.OverWhite, r.in.IsWhite(), r.in.IsBlack())
		}
	}
}

func TestOpacityIsTheContrastRatio(t *testing.T) {
	rows := []struct{ black, white, want float64 }{{88, 92, 0.8930}, {60, 95, 0.3210}}
	for _, r := range rows {
		in := Ink{OverWhite: color.Lab{L: r.white}, OverBlack: color.Lab{L: r.black}}
		if got := in.Opacity(); math.Abs(got-r.want) > 1e-4 {
			t.Errorf(
				"L %g over black, %g over white: %.4f, want %.4f (computed apart, 1e-4)",
				r.black,
				r.white,
				got,
				r.want,
			)
		}
	}
}
