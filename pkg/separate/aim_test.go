package separate

import (
	"math"
	"math/rand/v2"
	"testing"

	"tamis/pkg/color"
)

// TestColoursOutOfGamutGiveUpChromaFirst solves colours that the inks cannot print and takes apart what is given up, each part
// scaled as CIE94 scales it.
func TestColoursOutOfGamutGiveUpChromaFirst(t *testing.T) {
	ly := layersNamed(t, true, "lemon", "green", "red", "royal", "magenta")
	stack := ly.stack(withDefaults(request(t, "#17181a")))
	s := newSolver(stack, ly.cost, ly.base)
	rng := rand.New(rand.NewPCG(3, 4))
	cov := make([]float64, stack.Len())
	var lightness, chroma, hue float64
	n := 0
	for range 600 {
		rgb := color.RGB8{R: uint8(rng.IntN(256)), G: uint8(rng.IntN(256)), B: uint8(rng.IntN(256))}
		want := rgb.Lab()
		a := newAim(want, darkest(stack))
		s.solve(&a, cov, true)
		got := stack.Predict(cov)
		if c := want.Chroma(); c < 20 || color.DeltaE00(want, got) < 5 {
			continue
		}
		n++
		dl, dc := got.L-a.lab.L, got.Chroma()-want.Chroma()
		dh := math.Sqrt(math.Max(0, math.Pow(got.A-want.A, 2)+math.Pow(got.B-want.B, 2)-dc*dc))
		lightness += math.Abs(dl)
		chroma += math.Abs(dc) / (1 + 0.045*want.Chroma())
		hue += dh / (1 + 0.015*want.Chroma())
	}
	lightness, chroma, hue = lightness/float64(n), chroma/float64(n), hue/float64(n)
	t.Logf("%d colours: lightness %.2f, chroma %.2f, hue %.2f", n, lightness, chroma, hue)
	if n < 100 || chroma < 2*hue || chroma < 2*lightness {
		t.Errorf("of %d colours chroma gives up %.2f, hue %.2f, lightness %.2f; chroma is to give twice as much as either",
			n, chroma, hue, lightness)
	}
}
