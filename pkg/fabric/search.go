package fabric

import "math"

// Plate is one halftone plate on its mesh, as a search sees it.
type Plate struct {
	Orders Orders
	Mesh   Mesh
}

// Allowed is what a search may try: rulings in lines per inch and angles in degrees, from and to, both included.
type Allowed struct {
	LPI      [2]float64
	AngleDeg [2]float64
}

// Found is the ruling and angle whose worst beat over all plates is the least visible.
type Found struct{ LPI, AngleDeg, Visibility float64 }

// Steps of a search. Ours: a screen is stretched and a film laid to about half a degree, and a film device's rulings
// are as fine as half a line.
const (
	angleStepDeg = 0.5
	lpiStep      = 0.5
	slipDeg      = 0.5
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

func (a Allowed) avoids(deg float64) bool {
	return a.AngleDeg[1]-a.AngleDeg[0] > widestKept && math.Abs(math.Remainder(deg, 45)) <= avoidDeg
}

// Search tries every allowed ruling and angle for all plates at once, seen from distanceMM or farther. An angle counts
// with what half a degree of slip makes of it. Of rulings that do as well the finest is taken.
func Search(plates []Plate, a Allowed, distanceMM float64) Found {
	best := Found{LPI: a.LPI[1], AngleDeg: usualDeg, Visibility: math.Inf(1)}
	pairs := pairings(plates)
	for lpi := a.LPI[1]; lpi >= a.LPI[0]-1e-9; lpi -= lpiStep {
		for deg := a.AngleDeg[0]; deg <= a.AngleDeg[1]+1e-9; deg += angleStepDeg {
			if a.avoids(deg) {
				continue
			}
			one := Found{lpi, deg, 0}
			for _, slip := range []float64{0, -slipDeg, slipDeg} {
				one.Visibility = math.Max(one.Visibility, worstOf(plates, pairs, lpi, deg+slip, distanceMM,
					best.Visibility+alike))
				if one.Visibility > best.Visibility+alike {
					break
				}
			}
			if one.betterThan(best) {
				best = one
			}
		}
	}
	return best
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
	pairs := pairings(plates)
	all := make([]float64, 0, 361)
	for deg := 0.0; deg <= 180; deg += angleStepDeg {
		all = append(all, worstOf(plates, pairs, lpi, deg, distanceMM, math.Inf(1)))
	}
	return all
}

func pairings(plates []Plate) []pairing {
	pairs := make([]pairing, len(plates))
	for i := range plates {
		pairs[i] = pairUp(&plates[i].Orders, plates[i].Mesh)
	}
	return pairs
}

func worstOf(plates []Plate, pairs []pairing, lpi, deg, distanceMM, enough float64) float64 {
	worst, v := 0.0, Screen{FreqLPI: lpi, AngleDeg: deg}.vector()
	for i, p := range pairs {
		worst = math.Max(worst, p.worst(v, meshVector(plates[i].Mesh), distanceMM, enough))
	}
	return worst
}
