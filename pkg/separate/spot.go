package separate

import (
	"cmp"
	"fmt"
	"slices"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/fault"
	"tamis/pkg/ink"
)

// Figures of the spot decisions, in CIEDE2000. Ours; the spot tests hold them.
const (
	leastPalette = 0.0004 // share of the still pixels under which a colour is a speck
	mostPalette  = 24     // colours looked at, the most frequent ones: a press has half as many stations
	costPrinted  = 1.5    // an ink must beat the bare garment by this
	costOnBase   = 1.0    // and on the underbase beat itself off it by this
	farMatch     = 5.0    // an ink farther from its colour than this is said,
	leastSaid    = 0.005  // where the colour holds this share of the inked area
)

// swatch is a flat colour of the artwork and how it prints.
type swatch struct {
	rgb   color.RGB8
	lab   color.Lab
	share float64 // of the inked area
	thin  bool    // only strokes too thin to have still pixels have it
	how   layup
	err   float64 // CIEDE2000 of the layup to the colour
}

// layup is what lies on the garment in a swatch: an ink (index among the candidates, -1 none), the underbase, both,
// or neither.
type layup struct {
	ink  int
	base bool
}

// spotJob tries sets of inks on the palette.
type spotJob struct {
	*job
	inks     []ink.Ink
	white    *ink.Ink
	swatches []swatch
	ways     []way       // gradients between swatches
	noBare   bool        // every swatch prints, whatever the garment shows
	errs     [][]float64 // [swatch][ink+1, and past those the same on the underbase]
	lost     [][]float64 // the same: what it costs that a colour prints without one
}

// spot gives every flat colour one ink, the bare garment, or the underbase alone.
func (j *job) spot() (*Recipe, error) {
	s := &spotJob{job: j, inks: opaqueInks(j.req.Inks), white: whiteInk(j.req.Inks)}
	s.swatches, s.ways = flatsAndFades(&j.insp.Digest)
	if len(s.swatches) == 0 {
		return nil, fault.Invalidf("/separation/method", "no_flat_colors",
			"the artwork has no flat colours to print as spot; use simulated_process")
	}
	s.measure()
	first, err := s.start()
	if err != nil {
		return nil, err
	}
	ladder := s.descend(first)
	slices.Reverse(ladder)
	if n := s.screens(ladder[0]); n > j.req.MaxScreens {
		return nil, fault.Invalidf("/separation/max_screens", "max_screens_range",
			"the artwork takes at least %d screens here; max_screens is %d", n, j.req.MaxScreens)
	}
	m := &menu{recipe: func(at int) *Recipe { return s.recipe(ladder[at]) }}
	for _, in := range slices.Clone(ladder) {
		r := s.rung(in)
		if n := len(m.rungs); n > 0 && r.MeanE00 > m.rungs[n-1].MeanE00 {
			ladder = slices.Delete(ladder, n, n+1) // better to the eye by its score, not by the mean that is shown
			continue
		}
		m.rungs = append(m.rungs, r)
	}
	return m.within(j.req, everyColor), nil
}

// measure predicts every swatch under every layup.
func (s *spotJob) measure() {
	n := len(s.inks) + 1
	colors := make([]color.Lab, 2*n)
	for k := range n {
		var bare, based []ink.Ink
		if s.white != nil {
			based = append(based, *s.white)
		}
		if k > 0 {
			bare, based = append(bare, s.inks[k-1]), append(based, s.inks[k-1])
		}
		colors[k], colors[n+k] = s.solid(bare), s.solid(based)
	}
	for _, w := range s.swatches {
		row, lost := make([]float64, 2*n), make([]float64, 2*n)
		for k, c := range colors {
			row[k], lost[k] = color.DeltaE00(c, w.lab), colorLost(w.lab, c)
		}
		s.errs, s.lost = append(s.errs, row), append(s.lost, lost)
	}
}

// costColorLost is what a strong colour that prints as a grey or white costs. Ours: the nearest ink to a light cyan is
// white, by CIEDE2000, but who sees the print misses the colour, not the lightness.
const costColorLost = 20

// colorLost is the share of a colour's chroma that is gone, beyond a half, from none for greys to costColorLost.
func colorLost(want, got color.Lab) float64 {
	c := want.Chroma()
	if c < strongChroma {
		return 0
	}
	return costColorLost * max(0, 1-2*got.Chroma()/c)
}

func (s *spotJob) solid(inks []ink.Ink) color.Lab {
	cov := make([]float64, len(inks))
	for i := range cov {
		cov[i] = 1
	}
	return ink.NewStack(inks, s.req.Cards, s.req.Ground).Predict(cov)
}

// recipe fixes how each swatch prints and makes the plates. It works on swatches of its own: a kept recipe's rungs are
// made by whoever asks, several at once.
func (s *spotJob) recipe(chosen set) *Recipe {
	own := *s
	s, own.swatches = &own, slices.Clone(s.swatches)
	for i := range s.swatches {
		w := &s.swatches[i]
		w.how, w.err = s.best(i, chosen)
	}
	ly, plateOf := s.arrange(chosen)
	r := &Recipe{Method: Spot, Plates: ly.plates(Line, false), request: s.req, stack: ly.stack(s.req)}
	sp := s.applier(ly, plateOf)
	r.apply = sp
	sp.markFades(r.Plates)
	sp.predict(&s.insp.Digest, r.Plates)
	byError := slices.Clone(s.swatches) // the worst first: of findings of a kind the first is shown
	slices.SortStableFunc(byError, func(a, b swatch) int { return cmp.Compare(b.err, a.err) })
	for _, w := range byError {
		r.say(w, s.inks)
	}
	flats, errs := s.errors(chosen)
	r.MeanE00, r.P95E00, r.overlaps = sp.matchFades(flats, errs, &s.insp.Digest, r.stack, s.req.groundRGB())
	for i := range r.Plates {
		r.Plates[i].Why = append(why(r.Plates[i]), s.colorsOn(i, ly.base, plateOf)...)
		if r.Plates[i].Rendering == Halftone {
			r.Plates[i].Why = append(r.Plates[i].Why, "screened for the artwork's gradients; its flat shapes stay cut")
		}
	}
	return r
}

// colorsOn says which of the artwork's colours plate k prints, and how well.
func (s *spotJob) colorsOn(k, base int, plateOf []int) []string {
	var list []string
	for _, w := range s.swatches {
		if w.share < leastSaid || k == base && w.how.ink >= 0 {
			continue
		}
		if slices.Contains(platesOf(w.how, base, plateOf), k) {
			list = append(list, fmt.Sprintf("prints %s, %.1f CIEDE2000 off", w.rgb.Hex(), w.err))
		}
	}
	return list
}

// arrange puts a set in press order; plateOf maps a candidate ink to its plate.
func (s *spotJob) arrange(in set) (ly layers, plateOf []int) {
	var colors []ink.Ink
	var base, high *ink.Ink
	if in.base {
		base = s.white
	}
	for k, on := range in.inks {
		switch {
		case on && in.base && s.inks[k].IsWhite():
			high = &s.inks[k]
		case on:
			colors = append(colors, s.inks[k])
		}
	}
	ly = arrange(colors, base, high)
	plateOf = make([]int, len(s.inks))
	for k := range s.inks {
		plateOf[k] = -1
		for p, in := range ly.inks {
			if p != ly.base && in.ID == s.inks[k].ID {
				plateOf[k] = p
			}
		}
	}
	return ly, plateOf
}

func platesOf(how layup, base int, plateOf []int) []int {
	var list []int
	if how.base && base >= 0 {
		list = append(list, base)
	}
	if how.ink >= 0 {
		list = append(list, plateOf[how.ink])
	}
	return list
}

// rung is what a set gives, reckoned as its recipe is.
func (s *spotJob) rung(in set) Rung {
	r := s.recipe(in)
	return Rung{len(r.Plates), r.MeanE00, r.P95E00, idsOf(r.Plates), r.Plates}
}

// errors are those of the flat colours printed with a set.
func (s *spotJob) errors(in set) ([]target, []float64) {
	list, errs := make([]target, len(s.swatches)), make([]float64, len(s.swatches))
	for i, w := range s.swatches {
		list[i].weight = w.share
		_, errs[i] = s.best(i, in)
	}
	return list, errs
}

// seenMatch is the difference from the garment, CIEDE2000, that the eye sees side by side. Practice: 2 is a common bound.
const seenMatch = 2.0

// say adds a finding for a colour whose ink is far off, or that is left to a garment which is not quite it.
func (r *Recipe) say(w swatch, inks []ink.Ink) {
	if w.share < leastSaid {
		return
	}
	if w.how.ink < 0 && !w.how.base && w.err > seenMatch && w.err <= farMatch {
		r.Findings = append(r.Findings, artwork.Finding{Code: "prints_as_garment", Severity: artwork.Warning,
			Hex:     w.rgb.Hex(),
			Message: fmt.Sprintf("%s is left to the garment, %.1f CIEDE2000 off: nothing prints there", w.rgb.Hex(), w.err)})
	}
	if w.err <= farMatch {
		return
	}
	by := "the bare garment"
	if w.how.ink >= 0 {
		by = inks[w.how.ink].Name
	} else if w.how.base {
		by = "the underbase"
	}
	r.Findings = append(
		r.Findings,
		artwork.Finding{Code: "ink_far_off", Severity: artwork.Warning, Hex: w.rgb.Hex(), Message: fmt.Sprintf(
			"%s prints as %s, %.1f CIEDE2000 off", w.rgb.Hex(), by, w.err)},
	)
}
