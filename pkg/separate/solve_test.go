package separate

import (
	"math/rand/v2"
	"testing"

	"tamis/pkg/color"
)

func TestSolveFindsTheBestOfManyStarts(t *testing.T) {
	ly := layersNamed(t, true, "lemon", "green", "red", "royal", "magenta")
	stack := ly.stack(withDefaults(request(t, "#17181a")))
	s := newSolver(stack, ly.cost, ly.base)
	rng := rand.New(rand.NewPCG(1, 1))
	cov, trial := make([]float64, stack.Len()), make([]float64, stack.Len())
	for range 200 {
		rgb := color.RGB8{R: uint8(rng.IntN(256)), G: uint8(rng.IntN(256)), B: uint8(rng.IntN(256))}
		a := newAim(rgb.Lab(), darkest(stack))
		got := s.solve(&a, cov, true)
		for range 40 {
			for i := range trial {
				trial[i] = rng.Float64()
			}
			if best := s.minimise(&a, trial, &pull{}, 30); best < got-0.5 {
				t.Errorf(
					"%s: objective %.2f from the usual starts, %.2f from a random one",
					rgb.Hex(),
					got,
					best,
				)
				break
			}
		}
	}
}

func TestCoveragesKeepTheirBoundsAndTheInkLimit(t *testing.T) {
	ly := layersNamed(t, true, "red", "orange", "lemon", "green", "sky", "royal", "magenta", "black")
	_, tb := tableFor(t, ly, "#17181a")
	for i := range nodes * nodes * nodes {
		total := 0.0
		for k, v := range tb.node(i) {
			if v < 0 || v > 1 {
				t.Fatalf("node %d, ink %d: %g", i, k, v)
			}
			if k != ly.base {
				total += v
			}
		}
		if total > inkLimit+0.05 {
			t.Fatalf("node %d has %.3f of ink, limit %g", i, total, inkLimit)
		}
	}
}

func TestTheGarmentsOwnColourIsBareAndFadesRunOutAtNothing(t *testing.T) {
	for _, garment := range []string{"#17181a", "#ffffff", "#7a1f2b"} {
		ly := layersNamed(t, garment != "#ffffff", "red", "lemon", "green", "royal", "black")
		_, tb := tableFor(t, ly, garment)
		l, g := newLookup(tb), hex(t, garment)
		var cov [16]uint8
		l.at(g, cov[:])
		for k := range ly.inks {
			if cov[k] != 0 {
				t.Errorf("%s: %s prints %d/255 on the garment's own colour", garment, ly.inks[k].ID, cov[k])
			}
		}
		last := 255 * len(ly.inks)
		for a := 40; a >= 0; a -= 4 { // a red that fades out
			l.at(blend([4]uint8{220, 40, 40, uint8(a)}, g), cov[:])
			sum := 0
			for k := range ly.inks {
				sum += int(cov[k])
			}
			if sum > last+6 {
				t.Errorf("%s: %d/255 of ink at alpha %d, %d at the stronger one before", garment, sum, a, last)
			}
			last = sum
		}
		if last != 0 {
			t.Errorf("%s: %d/255 of ink at alpha 0", garment, last)
		}
	}
}
