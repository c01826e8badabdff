package separate

import (
	"fmt"

	"tamis/pkg/artwork"
	"tamis/pkg/ink"
)

// kneeE00 is what one more screen must gain in mean CIEDE2000 to be worth its set-up when the caller names no number.
const kneeE00 = 0.35

// simulated separates tones into the shop's spot inks.
func (j *job) simulated() (*Recipe, error) {
	candidates := spotInks(j.req.Inks)
	white := whiteInk(j.req.Inks)
	l := j.newLadder(candidates, white)
	rungs, choices := l.climb(j.req.MaxScreens)
	if len(rungs) == 0 {
		return nil, tooFewScreens(j.req.MaxScreens)
	}
	m := &menu{rungs, func(at int) *Recipe {
		return l.printed(choices[at], func(ly layers) *Recipe { return j.fromTable(SimulatedProcess, ly) })
	}}
	return m.within(j.req, knee), nil
}

// spotInks are the inks that are not process inks, without the whites: those are left to underbase and highlight. All
// inks where nothing else is left.
func spotInks(inks []ink.Ink) []ink.Ink {
	var list []ink.Ink
	for _, in := range opaqueInks(inks) {
		if !in.IsWhite() {
			list = append(list, in)
		}
	}
	if len(list) == 0 {
		return inks
	}
	return list
}

// opaqueInks are the inks that are not process inks; all where there are no others.
func opaqueInks(inks []ink.Ink) []ink.Ink {
	var list []ink.Ink
	for _, in := range inks {
		if in.Kind != ink.Process {
			list = append(list, in)
		}
	}
	if len(list) == 0 {
		return inks
	}
	return list
}

// fromTable solves the table for these layers.
func (j *job) fromTable(method Method, ly layers) *Recipe {
	return j.fromLookup(method, ly, j.req.Tables.of(keyOf("", ly, j.req), func() *lookup {
		return newLookup(buildTable(ly.stack(j.req), ly.cost, ly.base, j.req.groundRGB()))
	}))
}

// fromLookup makes the recipe that prints these layers by a table, and predicts coverage and match from the digest.
func (j *job) fromLookup(method Method, ly layers, l *lookup) *Recipe {
	stack := ly.stack(j.req)
	tn := &tones{lookup: l, ground: j.req.groundRGB()}
	if ly.base >= 0 && j.req.ChokeMM > 0 {
		tn.choke = &choke{ly.base, j.req.ChokeMM, j.req.PrintWidthMM, j.req.PrintHeightMM}
	}
	r := &Recipe{Method: method, Plates: ly.plates(Halftone, false), request: j.req, stack: stack, apply: tn}
	j.predict(r, func(t target, cov []float64) { tn.lookup.coverages(t.rgb, cov) })
	for i := range r.Plates {
		r.Plates[i].Why = why(r.Plates[i])
	}
	return r
}

// predict fills coverage and match from a rule that gives the coverages of a target.
func (j *job) predict(r *Recipe, rule func(t target, cov []float64)) {
	cov := make([]float64, len(r.Plates))
	r.overlaps = make([]float64, len(cov)*len(cov))
	errs := make([]float64, len(j.targets))
	for i, t := range j.targets {
		rule(t, cov)
		errs[i] = errorOf(r.stack, cov, t.lab)
		for k := range cov {
			r.Plates[k].inks(cov[k], t.share)
			for l := range k {
				r.overlaps[k*len(cov)+l] += float64(t.share * (min(cov[k], cov[l]) - float64(cov[k]*cov[l])))
			}
		}
	}
	r.MeanE00, r.P95E00 = match(j.targets, errs)
}

func why(p Plate) []string {
	switch p.Role {
	case Underbase:
		return []string{"printed first because the print model needs it on this garment"}
	case Highlight:
		return []string{"printed last: white over the underbase is lighter than the underbase alone"}
	case Black:
		return []string{"printed late so that it stays sharp"}
	}
	return []string{fmt.Sprintf("prints light to dark; its solid has L %.0f over white", p.Ink.OverWhite.L)}
}

// sayMissed adds a finding where the match asked for cannot be had.
func (r *Recipe) sayMissed(asked float64) {
	r.Findings = append(r.Findings, artwork.Finding{Code: "match_missed", Severity: artwork.Warning,
		Message: fmt.Sprintf("a mean of %g CIEDE2000 was asked for; %d screens come to %.1f: allow more screens or inks, "+
			"or a larger difference", asked, len(r.Plates), r.MeanE00)})
}
