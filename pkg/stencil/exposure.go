package stencil

import (
	"fmt"

	"tamis/pkg/fault"
)

// Test is what a shop knows after a test exposure, and what it means to change. A pointer that is nil was not given.
//
// ExposureS hardened the wedge's step Read, 1..41 (halves can be read); Target is the step wanted; StepDensity the
// density of one step, 0.15 on the usual scale. DistanceMM and NewDistanceMM are lamp to screen, both or neither.
// FilmDmin and FilmDmax are the film's clear and black, NewDmin the clear of another film. LampMM is the lamp's width
// as the screen sees it, GapUM what lies between the film's image and the stencil.
type Test struct {
	ExposureS, Read, Target, StepDensity       float64
	DistanceMM, NewDistanceMM                  *float64
	FilmDmin, NewDmin, FilmDmax, LampMM, GapUM *float64
}

// Advice is the new exposure and what the film will do in it. Leak and Undercut are nil where the test says too little.
type Advice struct {
	ExposureS float64
	Factor    float64 // on the time
	Leak      *Leak
	Undercut  *Undercut
	Warnings  []Warning
}

// Leak is the light through black.
type Leak struct {
	Fraction float64 // of the light through clear
	Steps    float64 // of the wedge, between black and clear
	Wanted   float64 // steps that stand the exposure with margin
}

// Undercut is the light that creeps under a black edge.
type Undercut struct {
	EdgeUM     float64 // how far the stencil hardens under each edge
	SmallestUM float64 // the smallest black dot or line that keeps half its width
}

// Warning is something to know before the light goes on.
type Warning struct{ Code, Message string }

// Ranges of a test. Ours: wider than any exposure unit, so that only slips are refused.
const (
	exposureLeastS, exposureMostS = 0.1, 7200
	stepLeast, stepMost           = 1, 41
)

// Check names every figure of the test that cannot be, by the names of the HTTP contract.
func (t Test) Check() error {
	var c fault.Checker
	c.Between("/exposure_s", t.ExposureS, exposureLeastS, exposureMostS, " s")
	c.Between("/step_read", t.Read, stepLeast, stepMost, "")
	c.Between("/step_target", t.Target, stepLeast, stepMost, "")
	c.Between("/step_density", t.StepDensity, 0.05, 0.5, "")
	c.Optional("/distance_mm", t.DistanceMM, 50, 10000, " mm")
	c.Optional("/new_distance_mm", t.NewDistanceMM, 50, 10000, " mm")
	c.Optional("/film_dmin", t.FilmDmin, 0, 1, "")
	c.Optional("/new_film_dmin", t.NewDmin, 0, 1, "")
	c.Optional("/film_dmax", t.FilmDmax, 0, 6, "")
	c.Optional("/lamp_mm", t.LampMM, 1, 3000, " mm")
	c.Optional("/gap_um", t.GapUM, 0, 2000, " um")
	t.checkPairs(&c)
	return c.Err()
}

// checkPairs checks what goes only together.
func (t Test) checkPairs(c *fault.Checker) {
	if t.NewDistanceMM != nil && t.DistanceMM == nil {
		c.Addf("/distance_mm", "missing", "the new distance needs the one of the test")
	}
	if t.NewDmin != nil && t.FilmDmin == nil {
		c.Addf("/film_dmin", "missing", "another film's clear density needs that of the test's film")
	}
	if t.FilmDmax != nil && t.FilmDmin == nil {
		c.Addf("/film_dmin", "missing", "the leak through black is reckoned against clear: film_dmin is wanted")
	}
	if t.FilmDmax != nil && t.FilmDmin != nil && *t.FilmDmax <= *t.clear() {
		c.Addf("/film_dmax", "dmax_below_dmin", "a black of %g is not above the clear of %g", *t.FilmDmax, *t.clear())
	}
	if t.LampMM != nil && t.DistanceMM == nil {
		c.Addf("/distance_mm", "missing", "undercutting depends on the lamp's distance")
	}
	if (t.LampMM == nil) != (t.GapUM == nil) {
		c.Addf("/gap_um", "lamp_and_gap", "undercutting needs both lamp_mm and gap_um")
	}
}

// clear is the clear density of the film to be exposed, nil where none was given.
func (t Test) clear() *float64 {
	if t.NewDmin != nil {
		return t.NewDmin
	}
	return t.FilmDmin
}

// distance is the lamp's in the exposure to come, nil where none was given.
func (t Test) distance() *float64 {
	if t.NewDistanceMM != nil {
		return t.NewDistanceMM
	}
	return t.DistanceMM
}

// Advise reckons the new exposure. A test that cannot be is fault.Invalid at each field.
func (t Test) Advise() (Advice, error) {
	if err := t.Check(); err != nil {
		return Advice{}, err
	}
	a := Advice{Factor: StepFactor(t.Read, t.Target, t.StepDensity)}
	if t.NewDistanceMM != nil {
		a.Factor *= DistanceFactor(*t.DistanceMM, *t.NewDistanceMM)
	}
	if t.NewDmin != nil {
		a.Factor *= BaseFactor(*t.FilmDmin, *t.NewDmin)
	}
	a.ExposureS = t.ExposureS * a.Factor
	if a.ExposureS > exposureMostS {
		return Advice{}, fault.Invalidf("/step_target", "exposure_too_long", "from step %g read to step %g takes %.3g s; "+
			"%d s can be: expose nearer the target and read the wedge again", t.Read, t.Target, a.ExposureS, exposureMostS)
	}
	if t.FilmDmax != nil {
		l := leakOf(*t.clear(), *t.FilmDmax, t.Target, t.StepDensity)
		a.Leak = &l
	}
	if t.LampMM != nil {
		u := UndercutOf(*t.GapUM, *t.LampMM, *t.distance(), HardenedShare(t.Target, t.StepDensity))
		a.Undercut = &u
	}
	a.Warnings = t.warnings(a)
	return a, nil
}

// HardenedShare is the share of the full light, 0..1, that just hardens when the wedge holds up to step: that step's
// transmittance, 10^-(0.05 + density (step - 1)).
//
// Source: the scale of a 21-step wedge, first step 0.05.
func HardenedShare(step, stepDensity float64) float64 {
	return BaseFactor(firstStep+stepDensity*(step-1), 0)
}

// firstStep is the density of a wedge's first step.
const firstStep = 0.05

// UndercutOf reckons the light under a black edge gapUM above the stencil, lit by a lamp lampMM wide at distanceMM,
// where hardened, 0..1, is the share of the light that hardens.
//
// The edge's penumbra is gap times lamp over distance wide, half of it under the black, where the light falls evenly
// from a half to nothing: it hardens to where it has fallen to that share. A share of a half or more undercuts nothing.
//
// Source: similar triangles. Ours: a dot is said to survive while it keeps half its width.
func UndercutOf(gapUM, lampMM, distanceMM, hardened float64) Undercut {
	edge := gapUM * lampMM / distanceMM * max(0, 0.5-hardened)
	return Undercut{EdgeUM: edge, SmallestUM: 4 * edge}
}

// Bounds of the warnings. farFactor: practice, equal dose does not harden equally far from the tested time. weakBlack:
// a trade column of 2002 sees a risk of burn-through below 3.0. clearMost: usual clear film has 0.05 to 0.10.
const (
	farFactor = 4
	weakBlack = 3.0
	clearMost = 0.15
)

// leakOf is the light through a film's black, beside what an exposure to the target step stands.
func leakOf(dmin, dmax, target, stepDensity float64) Leak {
	return Leak{Fraction: LeakFraction(dmin, dmax), Steps: (dmax - dmin) / stepDensity,
		Wanted: target + blackMargin*WedgeStep/stepDensity}
}

// warnings says what a person should know.
func (t Test) warnings(a Advice) []Warning {
	all := FactorWarnings(a.Factor)
	clear := t.clear()
	switch {
	case t.FilmDmax != nil:
		all = append(all, FilmWarnings(*clear, *t.FilmDmax, t.Target, t.StepDensity)...)
	case clear != nil:
		all = append(all, clearWarnings(*clear)...)
	}
	return all
}

// FactorWarnings says whether so many times the tested time is too far from it.
func FactorWarnings(factor float64) []Warning {
	if factor <= farFactor && factor >= 1.0/farFactor {
		return nil
	}
	return []Warning{{"far_from_test", fmt.Sprintf("%.2f times the tested time is far from the test: expose near it and "+
		"read the wedge again", factor)}}
}

// FilmWarnings says what a film of these densities does not hold in an exposure to the target step of a wedge.
func FilmWarnings(dmin, dmax, target, stepDensity float64) []Warning {
	var all []Warning
	if l := leakOf(dmin, dmax, target, stepDensity); l.Steps < l.Wanted-1e-9 { // a hair of rounding breaks no black
		all = append(all, Warning{"black_leaks", fmt.Sprintf("the black stops %.1f steps; to hold step %g with margin it "+
			"should stop %.1f: image areas will harden. Use a film of density %.2f or more, or lay two films in register",
			l.Steps, target, l.Wanted, dmin+l.Wanted*stepDensity)})
	}
	if dmax < weakBlack {
		all = append(all, Warning{"weak_black", fmt.Sprintf("a black of %.2f, as laser film has, is below %.1f: fine detail "+
			"may burn through", dmax, weakBlack)})
	}
	return append(all, clearWarnings(dmin)...)
}

func clearWarnings(dmin float64) []Warning {
	if dmin <= clearMost {
		return nil
	}
	return []Warning{{"clear_is_dense", fmt.Sprintf("a clear of %.2f is dense (%.2f is usual at most): look for fog or the "+
		"wrong film", dmin, clearMost)}}
}
