package fabric

import (
	"cmp"
	"math"
	"slices"
)

// Screen is a halftone laid on a mesh whose threads run at 0 and 90 degrees. AngleDeg turns counter-clockwise.
type Screen struct {
	FreqLPI  float64 // 5..300
	AngleDeg float64
	Orders   Orders
}

// ViewMM is the nearest a print is looked at where nothing else is said. Practice: a worn print, a step away.
const ViewMM = viewMM

// Beats lists the beats of the screen on a mesh, seen from distanceMM or farther, most visible first, at most n.
//
// The print is halftone times mesh, so each pair of harmonics leaves a wave k f_h - m f_m of amplitude
// 2 |c_k| |g_m| / g_0, in coverage. Visibility is that amplitude by the eye's contrast sensitivity there.
//
// Source: Amidror, Hersch and Ostromoukhov 1994; Mannos and Sakrison 1974. TestBeatsAreThoseOfTheRasterisedPair
// finds the same waves in a Fourier transform of the pair.
func (s Screen) Beats(m Mesh, distanceMM float64, n int) []Beat {
	return meshTerms(&s.Orders, m).at(s.vector(), meshVector(m), distanceMM).top(n)
}

// Between lists the beats of two screens printed one over the other: K of s, M of other.
func (s Screen) Between(other Screen, distanceMM float64, n int) []Beat {
	return screenTerms(&s.Orders, &other.Orders).at(s.vector(), other.vector(), distanceMM).top(n)
}

// Worst is the screen's most visible beat on a mesh; the zero Beat when there is none to be seen.
func (s Screen) Worst(m Mesh, distanceMM float64) Beat {
	return meshTerms(&s.Orders, m).most(s.vector(), meshVector(m), newEye(distanceMM))
}

// WorstBetween is the most visible beat of two screens printed one over the other.
func (s Screen) WorstBetween(other Screen, distanceMM float64) Beat {
	return screenTerms(&s.Orders, &other.Orders).most(s.vector(), other.vector(), newEye(distanceMM))
}

// frequency is a grid's first frequency, cycles/mm; the second is it turned by a right angle.
type frequency struct{ x, y float64 }

func (s Screen) vector() frequency {
	sin, cos := math.Sincos(s.AngleDeg * math.Pi / 180)
	return frequency{s.FreqLPI / 25.4 * cos, s.FreqLPI / 25.4 * sin}
}

func meshVector(m Mesh) frequency { return frequency{m.ThreadsPerCM / 10, 0} }

// order is the frequency of harmonic (k1, k2) of a grid.
func (v frequency) order(k [2]int) frequency {
	a, b := float64(k[0]), float64(k[1])
	return frequency{v.x*a - v.y*b, v.y*a + v.x*b}
}

// term is one pair of harmonics and the amplitude of its beat, whatever the angle.
type term struct {
	k, m      order
	amplitude float64
}

// order is a harmonic along a grid's two axes; orderMost fits a byte, and a pairing has some thousands.
type order [2]int8

func (o order) ints() [2]int { return [2]int{int(o[0]), int(o[1])} }

// pairing is the terms of two grids.
type pairing []term

// pairingRoom is what most pairings have room in.
const pairingRoom = 2048

// leastAmplitude is what no eye sees: a tenth of its threshold, some half a percent where it sees best.
const leastAmplitude = 0.0005

// meshTerms are those of a halftone and a mesh.
func meshTerms(o *Orders, m Mesh) pairing {
	p := make(pairing, 0, pairingRoom)
	halfPlane(meshOrders, func(m1, m2 int) {
		p = p.with(o, [2]int{m1, m2}, 2*meshHarmonic(m, m1, m2))
	})
	return p
}

// screenOrders bounds the harmonics of the second screen of a pair.
const screenOrders = 4

func screenTerms(o, other *Orders) pairing {
	p := make(pairing, 0, pairingRoom)
	halfPlane(screenOrders, func(m1, m2 int) {
		p = p.with(o, [2]int{m1, m2}, 2*other.At(m1, m2))
	})
	return p
}

// halfPlane visits every order up to most but (0, 0), one of each pair that mirror one another.
func halfPlane(most int, visit func(m1, m2 int)) {
	for m1 := 0; m1 <= most; m1++ {
		for m2 := -most; m2 <= most; m2++ {
			if m1 > 0 || m2 > 0 {
				visit(m1, m2)
			}
		}
	}
}

// with adds the terms of one harmonic of the second grid with all of the first.
func (p pairing) with(o *Orders, m [2]int, by float64) pairing {
	for k1 := -orderMost; k1 <= orderMost; k1++ {
		for k2 := -orderMost; k2 <= orderMost; k2++ {
			if a := by * o.At(k1, k2); a >= leastAmplitude && (k1 != 0 || k2 != 0) {
				p = append(p, term{order{int8(k1), int8(k2)}, order{int8(m[0]), int8(m[1])}, a})
			}
		}
	}
	return p
}

// sorted puts the strongest terms first, equals in any order.
func (p pairing) sorted() pairing {
	slices.SortFunc(p, func(a, b term) int {
		switch {
		case a.amplitude > b.amplitude:
			return -1
		case a.amplitude < b.amplitude:
			return 1
		}
		return 0
	})
	return p
}

// between is the frequency of a term's beat.
func (t term) between(a, b frequency) frequency {
	f, g := a.order(t.k.ints()), b.order(t.m.ints())
	return frequency{f.x - g.x, f.y - g.y}
}

// beats is a list of beats that can be cut to its most visible ones.
type beats []Beat

// at turns every term into its beat.
func (p pairing) at(a, b frequency, distanceMM float64) beats {
	all := make(beats, 0, len(p))
	for _, t := range p {
		f := t.between(a, b)
		one := beat(f.x, f.y, t.amplitude, distanceMM)
		one.K, one.M = t.k.ints(), t.m.ints()
		all = append(all, one)
	}
	return all
}

func (b beats) top(n int) []Beat {
	slices.SortFunc(b, func(x, y Beat) int {
		return cmp.Or(cmp.Compare(y.Visibility, x.Visibility), slices.Compare(x.K[:], y.K[:]), slices.Compare(x.M[:], y.M[:]))
	})
	return b[:min(n, len(b))]
}

// clearly is by how much one of two beats must be the more visible to be told from the other: a grid's two directions
// give beats that are alike but for rounding, which differs from machine to machine.
const clearly = 1e-9

// most is the most visible beat, the first of equals; the zero Beat of no terms.
func (p pairing) most(a, b frequency, e *eye) Beat {
	var best Beat
	for _, t := range p {
		f := t.between(a, b)
		if e.sees(f, t.amplitude, best.Visibility+clearly) > 0 {
			best = beat(f.x, f.y, t.amplitude, e.distanceMM)
			best.K, best.M = t.k.ints(), t.m.ints()
		}
	}
	return best
}

// seen are the terms whose beat an eye sees at some angle, for grids of so many lines a mm: a beat is no slower than the
// difference of its two waves.
func (p pairing) seen(first, second float64, e *eye) pairing {
	kept := make(pairing, 0, len(p))
	for _, t := range p {
		apart := first*math.Hypot(float64(t.k[0]), float64(t.k[1])) - second*math.Hypot(float64(t.m[0]), float64(t.m[1]))
		if e.sees(frequency{apart, 0}, t.amplitude, leastAmplitude) > 0 {
			kept = append(kept, t)
		}
	}
	return kept
}

// worst is the greatest visibility of all beats of a sorted pairing, or any that is over enough. The terms fall in
// amplitude, so it can stop early.
func (p pairing) worst(a, b frequency, e *eye, enough float64) float64 {
	most := 0.0
	for _, t := range p {
		if t.amplitude*sensitivityMost <= most || most > enough {
			break
		}
		most = math.Max(most, e.sees(t.between(a, b), t.amplitude, most))
	}
	return most
}
