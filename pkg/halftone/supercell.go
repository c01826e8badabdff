package halftone

import (
	"math"
	"slices"
)

// The bounds a supercell must keep: no eye and no mesh tells a screen within them from the one asked for.
// TestRulingAndAngleOverAGridOf200 measures them.
const (
	maxRulingError   = 0.001 // of the ruling
	maxAngleErrorDeg = 0.02
)

// A supercell is searched among sides of growing length until one keeps the bounds; its area in device pixels (2 bytes
// each for the thresholds, 4 for the ranks) then is 20,000 to 400,000 as a rule, and never above maxSupercellPX.
const (
	firstReachPX   = 150
	maxReachPX     = 6000
	maxSupercellPX = 4 << 20
)

// supercell is a parallelogram of whole device pixels that holds whole halftone cells. Laid side by side it covers the
// film. Each side is (x, y) in pixels, y down, and (i, j) in cells along the screen's two directions.
type supercell struct{ a, b side }

// side is a vector of whole pixels that very nearly is one of whole cells.
type side struct{ x, y, i, j int }

// area is the number of device pixels.
func (c supercell) area() int { return abs(c.a.x*c.b.y - c.a.y*c.b.x) }

// pixels and cells are the lattices of the film's pixels and of the screen's cells that the supercell repeats with.
func (c supercell) pixels() lattice { return newLattice(c.a.x, c.a.y, c.b.x, c.b.y) }
func (c supercell) cells() lattice  { return newLattice(c.a.i, c.a.j, c.b.i, c.b.j) }

// findSupercell gives the smallest supercell it finds that keeps the bounds, of leastCells or more, laid side by side
// until it has least cells, or as many as fit in maxSupercellPX. TestEveryScreenHasASupercell goes through the range.
func findSupercell(s Spec, least int) supercell { return searched(s).grown(least) }

// grown is c laid side by side, along its shorter side first, until it has so many cells or one more would be too large.
func (c supercell) grown(least int) supercell {
	k, m := 1, 1
	for abs(c.a.i*c.b.j-c.a.j*c.b.i)*k*m < least {
		nextK, nextM := k, m+1
		if k*k*c.a.square() <= m*m*c.b.square() {
			nextK, nextM = k+1, m
		}
		if c.area()*nextK*nextM > maxSupercellPX {
			break
		}
		k, m = nextK, nextM
	}
	return supercell{c.a.times(k), c.b.times(m)}
}

func (v side) times(n int) side { return side{n * v.x, n * v.y, n * v.i, n * v.j} }

// square is the squared length in pixels.
func (v side) square() int { return v.x*v.x + v.y*v.y }

// searched is the smallest supercell of leastCells or more that keeps the bounds; where none within maxReachPX does, the
// best seen.
func searched(s Spec) supercell {
	var best supercell
	bestError := math.Inf(1)
	for reach := float64(firstReachPX); reach <= maxReachPX; reach *= 1.4 {
		sides := nearSides(s, reach)
		smallest := 0
		for n, a := range sides {
			for _, b := range sides[n+1:] {
				c := supercell{a, b}
				area := c.area()
				if area == 0 || area > maxSupercellPX || abs(a.i*b.j-a.j*b.i) < leastCells {
					continue
				}
				if bestError <= 1 && smallest > 0 && area >= smallest {
					continue
				}
				if e := c.deviation(s); e < bestError || (e <= 1 && area < smallest) {
					best, bestError, smallest = c, e, area
				}
			}
		}
		if bestError <= 1 {
			return best
		}
	}
	return best
}

// nearSides lists vectors of whole pixels up to reach long (by the coarser resolution's pixels) that lie nearest, for
// their length, to whole cells: the best 48, best first. Both signs are one vector.
func nearSides(s Spec, reach float64) []side {
	sin, cos := math.Sincos(s.AngleDeg * math.Pi / 180)
	cellX, cellY := s.XDPI/s.FreqLPI, s.YDPI/s.FreqLPI
	most := int(reach / min(cellX, cellY))
	type scored struct {
		side
		off float64
	}
	var all []scored
	for i := 0; i <= most; i++ {
		for j := -most; j <= most; j++ {
			if i*i+j*j > most*most || (i == 0 && j <= 0) {
				continue
			}
			x := cellX * (float64(float64(i)*cos) - float64(float64(j)*sin))
			y := -cellY * (float64(float64(i)*sin) + float64(float64(j)*cos))
			near := side{int(math.Round(x)), int(math.Round(y)), i, j}
			off := math.Hypot((x-float64(near.x))/cellX, (y-float64(near.y))/cellY) / math.Hypot(float64(i), float64(j))
			all = append(all, scored{near, off})
		}
	}
	slices.SortStableFunc(all, func(p, q scored) int {
		switch {
		case p.off < q.off:
			return -1
		case p.off > q.off:
			return 1
		}
		// Where the cell is whole pixels all are equally near: the shorter ones point every way.
		return p.i*p.i + p.j*p.j - q.i*q.i - q.j*q.j
	})
	sides := make([]side, 0, 48)
	for _, v := range all[:min(len(all), cap(sides))] {
		sides = append(sides, v.side)
	}
	return sides
}

// frequencies gives the two frequency vectors of the cell grid in lines per inch, y up: the reciprocal of the cell's
// sides. The ruling is the length of the first, the screen angle its direction.
func (c supercell) frequencies(s Spec) (f1, f2 [2]float64) {
	// The sides of a cell are the supercell's divided by its matrix of cells.
	det := float64(c.a.i*c.b.j - c.a.j*c.b.i)
	cell := func(pa, pb int, p, q int) float64 { return float64(pa*p+pb*q) / det }
	e1x := cell(c.a.x, c.b.x, c.b.j, -c.a.j) / s.XDPI
	e1y := -cell(c.a.y, c.b.y, c.b.j, -c.a.j) / s.YDPI
	e2x := cell(c.a.x, c.b.x, -c.b.i, c.a.i) / s.XDPI
	e2y := -cell(c.a.y, c.b.y, -c.b.i, c.a.i) / s.YDPI
	area := float64(e1x*e2y) - float64(e1y*e2x)
	return [2]float64{e2y / area, -e2x / area}, [2]float64{-e1y / area, e1x / area}
}

// deviation is the worst error of ruling or angle in units of its bound: 1 or less is good.
func (c supercell) deviation(s Spec) float64 {
	f1, f2 := c.frequencies(s)
	worst := 0.0
	for i, f := range [][2]float64{f1, f2} {
		ruling := math.Abs(math.Hypot(f[0], f[1])/s.FreqLPI-1) / maxRulingError
		turn := math.Atan2(f[1], f[0])*180/math.Pi - s.AngleDeg - float64(i)*90
		worst = max(worst, ruling, math.Abs(math.Remainder(turn, 360))/maxAngleErrorDeg)
	}
	return worst
}
