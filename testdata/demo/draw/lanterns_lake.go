package draw

import "math"

// lake mirrors what stands above the shore, stretched, broken by ripples and tinted by the water.
func (n *night) lake() {
	n.each(rowOf(shoreV)+1, nightH, func(u, v float64, _ light) light {
		depth := v - shoreV // grows towards the viewer
		near := depth / 0.465
		wave := clouded(u*(9-4*near), math.Sqrt(depth)*95, 4, 301) - 0.5
		chop := clouded(u*(46-22*near), math.Sqrt(depth)*330, 2, 317) - 0.5
		shift := (0.10*wave + 0.03*chop) * (0.12 + near)
		drift := 0.012*wave*(0.3+near) + 0.022*near*chop
		var sum light
		for tap := range 5 {
			spread := (float64(tap) - 2) * 0.014 * (0.2 + near)
			mirrored := shoreV - max(1.45*depth+shift+spread, 1.0/nightW) // never the water itself
			sum = sum.add(n.at(u+drift, mirrored))
		}
		water := sum.mul(0.2).tint(light{0.62, 0.68, 0.86})
		water = water.mix(n.hues.deep, 0.18+0.3*near)
		glint := ramp(0.62, 0.86, chop+0.5+0.5*wave) * ramp(0.3, 0, near)
		return water.add(n.hues.glint.mul(0.25 * glint)).mul(1 - 0.55*ramp(0.55, 1, near))
	})
	n.waterline()
}

// waterline draws the thin bright line and the dark bank where the lake meets the far shore.
func (n *night) waterline() {
	n.each(rowOf(shoreV)-6, rowOf(shoreV)+14, func(u, v float64, was light) light {
		d := (v - shoreV) * nightW
		wet := math.Exp(-math.Pow((d-3)/2.2, 2)) * (0.25 + 0.75*noise(u*60, 2, 331))
		return was.add(n.hues.wet.mul(0.35 * wet))
	})
}

// afloat lists the lanterns on the water.
func afloat() []lantern {
	return []lantern{
		{0.43, 0.80, 0.016, lit(0xffb84a), 0.9, 0, 0.1}, {0.70, 0.835, 0.022, lit(0xff6a3a), 0.95, 0, 0.08},
		{0.255, 0.865, 0.030, lit(0xff9a30), 1, 0, 0.06}, {0.545, 0.925, 0.040, lit(0xffb84a), 1, 0, 0.05},
	}
}

// float sets a low round lantern on the water, with its trail of light below it.
func (n *night) float(l lantern) {
	n.around(l, func(u, v float64, was light) light {
		p := pt{(u - l.u) / l.size, (v - l.v) / l.size}
		was = was.add(l.halo(p).mul(0.8)).add(l.trail(p, u, v))
		cover, paper := l.bowl(p, n.hues)
		return was.mix(paper, cover)
	})
}

// trail is the lantern's broken reflection.
func (l lantern) trail(p pt, u, v float64) light {
	if p.y < 0.6 || p.y > 10 {
		return light{}
	}
	wobble := clouded(u*30, v*150, 3, 401) - 0.5
	x := (p.x + 1.8*wobble*ramp(0.6, 4, p.y)) / (0.75 + 0.1*p.y)
	glow := math.Exp(-x*x*1.6) * ramp(10, 0.6, p.y) * ramp(0.6, 0.95, p.y)
	broken := 0.35 + 0.65*ramp(0.42, 0.58, wobble+0.5)
	return l.paper.mul(0.8 * glow * broken * l.power)
}

// bowl is a lantern that floats: a cylinder of paper on a dark raft.
func (l lantern) bowl(p pt, h hues) (cover float64, paper light) {
	soft := max(l.blur, 1.2/(l.size*nightW))
	half := 0.78 - 0.08*p.y*p.y
	cover = ramp(soft, -soft, math.Abs(p.x)-half) * ramp(-soft, soft, p.y+1.05+0.06*p.x*p.x) *
		ramp(soft, -soft, p.y-0.85+0.08*p.x*p.x)
	if cover == 0 {
		return 0, light{}
	}
	flame := math.Exp(-(p.x*p.x*1.6 + (p.y-0.15)*(p.y-0.15)) / 0.4)
	round := math.Sqrt(max(0, 1-math.Pow(p.x/0.85, 2)))
	paper = l.paper.mul(0.4 + 0.5*round).add(l.paper.mix(h.flame, 0.7).mul(1.9 * flame))
	slats := math.Pow(math.Abs(math.Cos(math.Asin(min(max(p.x/0.85, -1), 1))*3)), 18)
	paper = paper.mul(1 - 0.35*slats)
	return cover, paper.mix(h.raft, ramp(0.5, 0.62, p.y)).mul(l.power)
}

// reeds draw the near shore: a dark green bank and blades whose edges catch the light.
func (n *night) reeds() {
	n.each(rowOf(0.86), nightH, func(u, v float64, was light) light {
		bank := 1.075 - 0.07*math.Abs(u-0.5) - 0.03*clouded(u*6, 4, 3, 501)
		for layer := range 3 {
			root, perWidth, seed := bank+0.022*float64(layer), 90-18*float64(layer), uint32(511+layer)
			if cover := bladeCover(u, v, root, perWidth, seed); cover > 0 {
				was = was.mix(n.hues.blades(u, v, root, perWidth, seed), cover)
			}
		}
		return was
	})
}
