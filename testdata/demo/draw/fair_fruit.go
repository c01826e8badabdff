package draw

import (
	"image/color"
	"math"
)

// apple draws a fruit of radius r with stem, highlight and, if leafy, a leaf; turn tips it over, in radians.
func (f *fair) apple(at pt, r, turn float64, leafy bool) {
	body := shape{smoothLoop(
		pt{0, -0.78}, pt{0.42, -0.95}, pt{0.88, -0.62}, pt{1, 0}, pt{0.78, 0.68}, pt{0.34, 0.98},
		pt{0, 0.9}, pt{-0.34, 0.98}, pt{-0.78, 0.68}, pt{-1, 0}, pt{-0.88, -0.62}, pt{-0.42, -0.95},
	)}
	put := func(s shape) shape { return s.placed(at, r, turn) }
	edge := max(finePX, r*0.12)
	f.edged(f.red, f.blue, edge, put(body))
	f.fill(f.cream, put(swellUnit([]pt{{-0.7, 0.1}, {-0.72, -0.3}, {-0.6, -0.55}, {-0.4, -0.66}}, 0.17)))
	f.fill(f.gold, put(swellUnit([]pt{{0.66, 0.1}, {0.62, 0.4}, {0.45, 0.62}, {0.2, 0.74}}, 0.11)))
	f.fill(f.blue, put(swellUnit([]pt{{-0.3, -0.74}, {-0.1, -0.58}, {0.12, -0.58}, {0.32, -0.74}}, 0.09)))
	stem := shape(put(shape{bezier(pt{0, -0.66}, pt{0.02, -0.9}, pt{0.06, -1.1}, pt{0.2, -1.28})}))
	f.fill(f.blue, taper(stem[0], edge, edge*1.5))
	if leafy {
		base := pt{0.08, -0.95}.mul(r).turned(turn).add(at)
		f.leaf(base, r*0.95, turn-0.35, f.green, f.blue, f.cream)
	}
}

// swellUnit is a crescent stroke in a unit frame: it is flattened a hundred times larger, so that it stays smooth.
func swellUnit(knots []pt, width float64) shape {
	big := make([]pt, len(knots))
	for i, k := range knots {
		big[i] = k.mul(300)
	}
	return swell(smooth(big...), width*300).moved(func(p pt) pt { return p.mul(1.0 / 300) })
}

// leaf draws a pointed leaf of the given length from its base towards angle, with a midrib and side veins.
func (f *fair) leaf(base pt, length, angle float64, ink, edge, vein color.NRGBA) {
	half := length * 0.27
	tip := pt{length, 0}
	upper := bezier(pt{}, pt{length * 0.25, -half * 1.5}, pt{length * 0.7, -half * 1.25}, tip)
	lower := bezier(tip, pt{length * 0.75, half * 1.05}, pt{length * 0.3, half * 1.4}, pt{})
	blade := shape{append(upper, lower[1:]...)}.placed(base, 1, angle)
	f.fill(edge, outline(blade, finePX*1.7))
	f.fill(ink, blade)
	sag := length * 0.03
	rib := shape{bezier(pt{length * 0.04, 0}, pt{length * 0.3, sag}, pt{length * 0.6, sag}, pt{length * 0.86, 0})}
	f.fill(vein, taper(rib.placed(base, 1, angle)[0], finePX, 3.6))
	if length < 56 {
		return
	}
	for _, t := range []float64{0.25, 0.42, 0.59} {
		reach := half * 0.62 * math.Sin(math.Pi*(t*0.8+0.15))
		for _, side := range []float64{-1, 1} {
			from := pt{length * t, length * 0.02}
			to := pt{length*t + reach*0.9, side * reach}
			v := shape{{from, to}}.placed(base, 1, angle)
			f.line(vein, 3.6, v[0])
		}
	}
}

// basket draws a woven basket heaped with apples; at is the middle of its foot.
func (f *fair) basket(at pt) {
	const top, foot, high = 235.0, 175.0, 250.0
	half := func(y float64) float64 { return top + (foot-top)*y/high }
	rim := at.y - high
	for _, a := range []struct{ x, y, r, turn float64 }{
		{-120, -70, 70, -0.3}, {0, -105, 74, 0.1}, {125, -75, 70, 0.4}, {-172, -18, 62, -0.6}, {176, -20, 62, 0.5},
		{-62, -28, 72, 0.2}, {66, -30, 72, -0.2},
	} {
		f.apple(pt{at.x + a.x, rim + a.y}, a.r, a.turn, a.y < -60)
	}
	body := shape{{{at.x - top, rim}, {at.x + top, rim}, {at.x + foot, at.y}, {at.x - foot, at.y}}}
	f.edged(f.gold, f.blue, ruledPX, body)
	f.weave(at, high, half)
	for i, y := range []float64{rim, at.y - 4} {
		w := half(float64(i) * high)
		band := stroke([]pt{{at.x - w - 8, y}, {at.x + w + 8, y}}, 34)
		f.edged(f.cream, f.blue, ruledPX, band)
		f.twist(pt{at.x, y}, w, 34)
	}
}

// weave draws the withies: rows of short arches, shifted by half a stave from row to row.
func (f *fair) weave(at pt, high float64, half func(float64) float64) {
	const rows, staves = 7, 9
	for r := range rows {
		y := 26 + (high-46)*(float64(r)+0.5)/rows
		w, rowY := half(y), at.y-high+y
		for i := -1; i < staves; i++ {
			x0 := (float64(i)+0.5*float64(r%2))/staves*2 - 1
			x1 := x0 + 2.0/staves
			x0, x1 = max(x0, -1), min(x1, 1)
			if x1-x0 < 0.05 {
				continue
			}
			a, b := pt{at.x + x0*w, rowY + 12}, pt{at.x + x1*w, rowY + 12}
			f.line(f.blue, finePX, bezier(a, a.add(pt{4, -26}), b.add(pt{-4, -26}), b))
			mid := a.lerp(b, 0.5)
			f.line(f.cream, hairPX, []pt{mid.add(pt{-9, -2}), mid.add(pt{9, -2})})
		}
	}
}

// twist draws the slanting turns of a rim.
func (f *fair) twist(at pt, half, high float64) {
	for x := -half + 8; x < half-8; x += 30 {
		f.line(f.blue, finePX, []pt{{at.x + x, at.y + high*0.36}, {at.x + x + 18, at.y - high*0.36}})
	}
}

// windfalls lie in the grass.
func (f *fair) windfalls() {
	for _, a := range []struct{ x, y, r, turn float64 }{
		{1120, 2560, 52, -1.2}, {1010, 2500, 44, 0.5}, {1450, 2590, 54, 1.3}, {1840, 2575, 50, -0.4}, {1930, 2520, 42, 0.9},
	} {
		f.apple(pt{a.x, a.y}, a.r, a.turn, false)
	}
}
