package draw

import (
	"math"
	"slices"
)

// lobes are the crown: circles whose union is the tree's mass.
func (f *fair) lobes() []circleAt {
	c := pt{1680, 1240}
	out := []circleAt{{c, 520}}
	for i := range 13 {
		a := 2 * math.Pi * float64(i) / 13
		at := c.add(pt{560 * math.Cos(a), 405 * math.Sin(a)})
		out = append(out, circleAt{at, 205 + 50*f.rng.Float64()})
	}
	return out
}

type circleAt struct {
	at pt
	r  float64
}

// tree draws trunk, crown, leaves and fruit.
func (f *fair) tree() {
	f.trunk()
	lobes := f.lobes()
	for _, l := range lobes {
		f.fill(f.blue, circle(l.at, l.r+ruledPX))
	}
	for _, l := range lobes {
		f.fill(f.green, circle(l.at, l.r))
	}
	f.foliage(lobes)
	f.fruit(lobes)
}

// trunk widens into roots and forks into the crown; bark is drawn in fine gold and cream lines.
func (f *fair) trunk() {
	left := smooth(pt{1560, 1500}, pt{1585, 1800}, pt{1580, 2100}, pt{1530, 2290}, pt{1400, 2405})
	right := smooth(pt{1960, 2410}, pt{1830, 2300}, pt{1782, 2100}, pt{1785, 1800}, pt{1830, 1500})
	foot := smooth(pt{1400, 2405}, pt{1520, 2385}, pt{1600, 2430}, pt{1690, 2390}, pt{1790, 2435}, pt{1960, 2410})
	f.fill(f.blue, shape{slices.Concat(left, foot, right)})
	for _, b := range [][2]pt{{{1640, 1840}, {1290, 1560}}, {{1720, 1840}, {2080, 1570}}} {
		mid := b[0].lerp(b[1], 0.5).add(pt{0, 60})
		f.fill(f.blue, taper(smooth(b[0], mid, b[1]), 110, 60))
	}
	for i := range 9 {
		x := 1606 + 19*float64(i)
		spread := (x - 1682) * 1.1
		bark := smooth(pt{x, 1690 + 40*float64(i%3)}, pt{x - 6, 1900}, pt{x + 5, 2100},
			pt{x + spread*0.5, 2260}, pt{x + spread, 2360})
		ink := f.gold
		if i%3 == 1 {
			ink = f.cream
		}
		f.fill(ink, swell(bark, finePX+2))
	}
	f.fill(f.gold, ellipse(pt{1690, 1985}, 34, 52, 0))
	f.fill(f.blue, ellipse(pt{1690, 1985}, 22, 40, 0))
	f.line(f.gold, finePX, arc(pt{1690, 1985}, 11, 24, 0, 2*math.Pi, 0))
}

// foliage lays leaves like shingles, the lower ones first: gold where the sun falls, blue in the shade.
func (f *fair) foliage(lobes []circleAt) {
	spots := f.scatter(lobes, 56, 16)
	slices.SortFunc(spots, func(a, b pt) int { return int(math.Copysign(1, b.y-a.y)) })
	for _, at := range spots {
		light := (1680-at.x)/900 + (1240-at.y)/700 + 0.9*(f.rng.Float64()-0.5)
		outward := math.Atan2(at.y-1300, (at.x-1680)*0.8)
		angle := outward + 1.5*(f.rng.Float64()-0.5)
		length := 78 + 34*f.rng.Float64()
		switch {
		case light > 0.55:
			f.leaf(at, length, angle, f.gold, f.blue, f.green)
		case light < -0.5:
			f.leaf(at, length, angle, f.blue, f.green, f.green)
		default:
			f.leaf(at, length, angle, f.green, f.blue, f.cream)
		}
	}
}

// scatter gives points inside the lobes, margin from their edge, none nearer to another than apart; in order of making.
func (f *fair) scatter(lobes []circleAt, apart, margin float64) []pt {
	var out []pt
	for range 20000 {
		p := pt{760 + 1840*f.rng.Float64(), 580 + 1320*f.rng.Float64()}
		inside := slices.ContainsFunc(lobes, func(l circleAt) bool { return p.sub(l.at).size() < l.r-margin })
		near := slices.ContainsFunc(out, func(q pt) bool { return p.sub(q).size() < apart })
		if inside && !near {
			out = append(out, p)
		}
	}
	return out
}

func (f *fair) fruit(lobes []circleAt) {
	for i, at := range f.scatter(lobes, 205, 75) {
		f.apple(at, 62+8*float64(i%3), 0.5*(f.rng.Float64()-0.5), true)
	}
}

// ladder leans against the crown on the left.
func (f *fair) ladder() {
	foot, top := pt{1130, 2470}, pt{1330, 1640}
	wide := pt{150, 30}
	narrow := pt{96, 18}
	for i := 1; i < 11; i++ {
		t := float64(i) / 11
		a, b := foot.lerp(top, t), foot.add(wide).lerp(top.add(narrow), t)
		f.rail(a, b, 22)
	}
	f.rail(foot, top, 30)
	f.rail(foot.add(wide), top.add(narrow), 30)
}

func (f *fair) rail(a, b pt, widthPX float64) {
	f.line(f.blue, widthPX+ruledPX, []pt{a, b})
	f.line(f.cream, widthPX-ruledPX/2, []pt{a, b})
	side := pt{a.y - b.y, b.x - a.x}
	side = side.mul(widthPX * 0.16 / side.size())
	f.line(f.gold, hairPX, []pt{a.lerp(b, 0.05).add(side), a.lerp(b, 0.95).add(side)})
}
