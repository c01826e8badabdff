package separate

import (
	"slices"

	"tamis/pkg/color"
	"tamis/pkg/ink"
)

// fadeTones are the tones of a fade's toned plates, one list for each share of high in 255ths.
type fadeTones [256][]uint8

// Weights of the steps from one tone to the next. Ours: TestAFadeShowsNoFringeOfItsUnderbase holds what they give.
const (
	fadeRough = 1.0 // per squared step in coverage: of several mixes of like colour the nearest is taken
	fadePins  = 1e6 // the same for a plate that must lie solid, or not at all
)

// solve finds the tones that look like the picture's blend, from bare to solid, each step from the last. The picture
// blends in codes, also over the garment; dots lie on one another by chance, as the print model has it, so the
// underbase stays behind its colour or it would show as a pale fringe.
//
// Where an end prints off its colour, the way there is bent to end in what prints, so that no step shows.
func (f *fade) solve(stack *ink.Stack, ground color.RGB8) {
	s := newSolver(stack, make([]float64, stack.Len()), -1)
	cov, from, to := f.coverages(stack.Len(), 0), f.blend(0, ground), f.blend(1, ground)
	bare, solid := stack.Predict(cov), stack.Predict(f.coverages(stack.Len(), 1))
	for i := range f.tones {
		t := float64(i) / 255
		want := f.blend(t, ground)
		want = shifted(shifted(want, from, bare, 1-t), to, solid, t)
		a := newAim(want, 0)
		s.minimise(&a, cov, f.near(cov), startRounds)
		f.tones[i] = f.tonesAt(cov)
	}
	f.tones[0] = make([]uint8, len(f.toned))
	f.tones[255] = f.tonesAt(f.coverages(stack.Len(), 1))
}

// coverages are those of all plates with the dots of the toned ones covering so much.
func (f *fade) coverages(plates int, dots float64) []float64 {
	cov := make([]float64, plates)
	for _, k := range f.full {
		cov[k] = 1
	}
	for _, k := range f.toned {
		cov[k] = dots
	}
	return cov
}

// near draws the toned plates to where they are and presses all others against the end where they are.
func (f *fade) near(cov []float64) *pull {
	p := &pull{mean: append([]float64{}, cov...), rough: fadeRough, steep: fadePins}
	p.lo, p.hi = make([]float64, len(cov)), make([]float64, len(cov))
	for k, c := range cov {
		if slices.Contains(f.toned, k) {
			p.hi[k] = 1
			continue
		}
		p.lo[k], p.hi[k] = 2*c-0.5, 2*c-0.5 // past 0 and 1: a spring that is not stretched does not hold
	}
	return p
}

// tonesAt are the tones of the toned plates.
func (f *fade) tonesAt(cov []float64) []uint8 {
	list := make([]uint8, len(f.toned))
	for i, k := range f.toned {
		list[i] = uint8(float64(cov[k]*255) + 0.5)
	}
	return list
}

// blend is the colour of the picture at t, laid over the garment.
func (f *fade) blend(t float64, ground color.RGB8) color.Lab {
	var rgb [3]uint8
	bare := 1 - (f.low[3]+float64(t*(f.high[3]-f.low[3])))/255
	for c, g := range [3]uint8{ground.R, ground.G, ground.B} {
		v := f.low[c] + float64(t*(f.high[c]-f.low[c])) + float64(bare*float64(g))
		rgb[c] = uint8(min(max(v, 0), 255) + 0.5)
	}
	return color.RGB8{R: rgb[0], G: rgb[1], B: rgb[2]}.Lab()
}

// shifted is c moved a part t of the way that turns from into to.
func shifted(c, from, to color.Lab, t float64) color.Lab {
	c.L += float64(t * (to.L - from.L))
	c.A += float64(t * (to.A - from.A))
	c.B += float64(t * (to.B - from.B))
	return c
}
