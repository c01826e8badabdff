package fabric

import (
	"math"
	"slices"
)

// Plate is one halftone plate on its mesh, as a search sees it. TurnDeg is how far it is turned from the angle searched:
// plates of a job stand apart.
type Plate struct {
	Orders  Orders
	Mesh    Mesh
	TurnDeg float64
}

// Allowed is what a search may try: rulings in lines per inch and angles in degrees, from and to, both included. Enough
// is the visibility that ends it: of the rulings that come to it the finest is taken; 0 looks for the least there is.
// StepLPI is from ruling to ruling, half a line at the least.
type Allowed struct {
	LPI      [2]float64
	AngleDeg [2]float64
	Enough   float64
	StepLPI  float64
}

// Found is the ruling and angle whose worst beat over all plates is the least visible.
type Found struct{ LPI, AngleDeg, Visibility float64 }

// Steps of a search. Ours: a screen is stretched and a film laid to about half a degree, and a film device's rulings
// are as fine as half a line.
const (
	angleStepDeg = 0.5 // and the slip
	lpiStep      = 0.5
)

// usualDeg is the angle taken where several do as well. Practice: 22.5 degrees on straight mesh.
const usualDeg = 22.5

// alike is the difference in visibility that no eye tells: angles within it are as good as one another.
const alike = 0.0005

// avoidDeg is how near to 0, 45 and 90 degrees a search does not go, unless no more than widestKept degrees are
// allowed. Practice: weavers warn of these angles against the mesh, since whole rows of dots may stand on one thread.
const (
	avoidDeg   = 2
	widestKept = 10
)

func (a Allowed) avoids(plates []Plate, deg float64) bool {
	return a.AngleDeg[1]-a.AngleDeg[0] > widestKept && slices.ContainsFunc(plates, func(p Plate) bool {
		return math.Abs(math.Remainder(deg+p.TurnDeg, 45)) <= avoidDeg
	})
}

// Search tries every allowed ruling and angle for all plates at once, seen from distanceMM or farther. An angle counts
// with what half a degree of slip makes of it. Of rulings that do as well the finest is taken.
func Search(plates []Plate, a Allowed, distanceMM float64) Found {
	best := Found{LPI: a.LPI[1], AngleDeg: usualDeg, Visibility: math.Inf(1)}
	plates = distinct(plates)
	pairs, eye := pairings(plates), newEye(distanceMM)
	for lpi := a.LPI[1]; lpi >= a.LPI[0]-1e-9 && best.Visibility > a.Enough; lpi -= max(a.StepLPI, lpiStep) {
		w := &walk{plates: plates, pairs: seenAt(lpi, plates, pairs, eye), lpi: lpi, fromDeg: a.AngleDeg[0], eye: eye}
		w.best(a, &best)
	}
	return best
}

// distinct leaves out plates that do as an earlier one does: threads cross at right angles.
func distinct(plates []Plate) []Plate {
	var kept []Plate
	for _, p := range plates {
		if !slices.ContainsFunc(kept, func(k Plate) bool {
			return k.Mesh == p.Mesh && math.Remainder(k.TurnDeg-p.TurnDeg, 90) == 0 && k.Orders == p.Orders
		}) {
			kept = append(kept, p)
		}
	}
	return kept
}

// seenAt are the terms that an eye could see at a ruling, whatever the angle.
func seenAt(lpi float64, plates []Plate, pairs []pairing, e *eye) []pairing {
	list := make([]pairing, len(pairs))
	for i, p := range pairs {
		at := slices.IndexFunc(pairs, func(q pairing) bool { return len(q) > 0 && len(p) > 0 && &q[0] == &p[0] })
		if at >= 0 && at < i {
			list[i] = list[at]
			continue
		}
		list[i] = p.seen(lpi/25.4, meshVector(plates[i].Mesh).x, e).sorted()
	}
	return list
}

// walk is a search at one ruling, step by step; seen remembers the steps taken, so that a slip costs nothing.
type walk struct {
	plates       []Plate
	pairs        []pairing
	eye          *eye
	lpi, fromDeg float64
	seen         []float64 // of step -1 on; 0 is not yet
}

// best goes through the allowed angles and betters what was found.
func (w *walk) best(a Allowed, best *Found) {
	steps := int((a.AngleDeg[1]-a.AngleDeg[0])/angleStepDeg + 1e-9)
	w.seen = make([]float64, steps+3)
	for step := range steps + 1 {
		one := Found{w.lpi, w.fromDeg + float64(step)*angleStepDeg, 0}
		if a.avoids(w.plates, one.AngleDeg) {
			continue
		}
		for _, slip := range [3]int{0, -1, 1} { // steps of half a degree
			one.Visibility = math.Max(one.Visibility, w.at(step+slip, best.Visibility+alike))
			if one.Visibility > best.Visibility+alike {
				break
			}
		}
		if one.betterThan(*best) {
			*best = one
		}
	}
}

// at is the visibility at a step, or any over enough: best falls, so what was too much stays so.
func (w *walk) at(step int, enough float64) float64 {
	if w.seen[step+1] == 0 {
		deg := w.fromDeg + float64(step)*angleStepDeg
		w.seen[step+1] = worstOf(w.plates, w.pairs, w.lpi, deg, w.eye, enough)
	}
	return w.seen[step+1]
}

// betterThan prefers what is seen less, then the angle nearer to the usual one at the same ruling.
func (f Found) betterThan(best Found) bool {
	if math.Abs(f.Visibility-best.Visibility) > alike {
		return f.Visibility < best.Visibility
	}
	return f.LPI == best.LPI && math.Abs(f.AngleDeg-usualDeg) < math.Abs(best.AngleDeg-usualDeg)
}

// Sweep gives the visibility of the worst beat over all plates at every half degree from 0 to 180: 361 figures.
func Sweep(plates []Plate, lpi, distanceMM float64) []float64 {
	eye := newEye(distanceMM)
	pairs := seenAt(lpi, plates, pairings(plates), eye)
	all := make([]float64, 0, 361)
	for deg := 0.0; deg <= 180; deg += angleStepDeg {
		all = append(all, worstOf(plates, pairs, lpi, deg, eye, math.Inf(1)))
	}
	return all
}

// pairings are the terms of every plate with its mesh; plates of one dot on one mesh share theirs.
func pairings(plates []Plate) []pairing {
	pairs := make([]pairing, len(plates))
	for i, p := range plates {
		at := slices.IndexFunc(plates, func(q Plate) bool { return q.Mesh == p.Mesh && q.Orders == p.Orders })
		if at < i {
			pairs[i] = pairs[at]
			continue
		}
		pairs[i] = meshTerms(&plates[i].Orders, p.Mesh)
	}
	return pairs
}

func worstOf(plates []Plate, pairs []pairing, lpi, deg float64, eye *eye, enough float64) float64 {
	worst := 0.0
	for i, p := range pairs {
		v := Screen{FreqLPI: lpi, AngleDeg: deg + plates[i].TurnDeg}.vector()
		worst = math.Max(worst, p.worst(v, meshVector(plates[i].Mesh), eye, enough))
		if worst > enough {
			break
		}
	}
	return worst
}
