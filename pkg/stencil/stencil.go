// Package stencil reckons exposure: how long light must reach the emulsion, and whether a film's black can stop it.
//
// In go times, densities and distances; out come times, factors and shares of light. It knows no prices, no inks and no
// devices by name. UV lamps, sensitisers and solvents can hurt: data sheets and local rules come before these figures.
//
// Sources: dose H = E t; a grey wedge of 0.15 density a step; inverse square for a small lamp (textbook optics).
package stencil

import "math"

// WedgeStep is the density of one step of a 21-step grey scale: two steps double the light.
const WedgeStep = 0.15

// StepFactor is the factor on time that moves the last held wedge step from read to target: 10^(step (target - read)).
func StepFactor(read, target, stepDensity float64) float64 {
	return math.Pow(10, stepDensity*(target-read))
}

// DistanceFactor is the factor on time when a small lamp moves from fromMM to toMM, both > 0: the inverse square.
func DistanceFactor(fromMM, toMM float64) float64 { return (toMM / fromMM) * (toMM / fromMM) }

// BaseFactor is the factor on time when the clear film's density goes from refDmin to dmin.
func BaseFactor(refDmin, dmin float64) float64 { return math.Pow(10, dmin-refDmin) }

// LeakFraction is the light through black as a share of the light through clear film: 10^-(dmax - dmin).
func LeakFraction(dmin, dmax float64) float64 { return math.Pow(10, -(dmax - dmin)) }

// LeakSteps is the same in wedge steps: how many steps stand between black and clear.
func LeakSteps(dmin, dmax float64) float64 { return (dmax - dmin) / WedgeStep }

// blackMargin is how many steps of margin black should have over the target step. Practice: the emulsion's toe spans
// three to four steps below full hardening, and two more cover lamp and coating.
const blackMargin = 6

// Lamp is a shop's exposure unit with one emulsion: ExposureS hardens it to TargetStep through clear film of RefDmin on
// white mesh; YellowFactor multiplies it on dyed mesh. Practice: dyed mesh needs 1.5 to 2 times the time.
type Lamp struct {
	ExposureS, TargetStep, RefDmin, YellowFactor float64
}

// TimeS is the exposure for a film whose clear parts have density dmin, in seconds.
func (l Lamp) TimeS(dmin float64, yellowMesh bool) float64 {
	t := l.ExposureS * BaseFactor(l.RefDmin, dmin)
	if yellowMesh {
		t *= l.YellowFactor
	}
	return t
}
