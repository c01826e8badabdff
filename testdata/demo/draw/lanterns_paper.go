package draw

import "math"

// lantern is a paper lantern: place of its middle and half width in units of the picture's width.
type lantern struct {
	u, v, size float64
	paper      light   // colour of the lit paper
	power      float64 // brightness, 1 near
	tilt       float64 // radians
	blur       float64 // softness of its edge in half widths: far ones swim in the haze
}

// aloft lists the lanterns in the air, the far ones first.
func aloft() []lantern {
	amber, gold := lit(0xff9a30), lit(0xffb84a)
	rose, coral := lit(0xff5f8a), lit(0xff6a3a)
	jade := lit(0x49d6a6)
	return []lantern{
		{0.405, 0.505, 0.009, amber, 0.75, 0.05, 0.3}, {0.58, 0.468, 0.010, gold, 0.75, -0.08, 0.3},
		{0.492, 0.42, 0.012, coral, 0.8, 0.06, 0.25}, {0.72, 0.43, 0.013, amber, 0.8, 0.1, 0.22},
		{0.29, 0.445, 0.014, rose, 0.8, -0.05, 0.22}, {0.635, 0.345, 0.018, gold, 0.85, -0.06, 0.16},
		{0.385, 0.335, 0.020, amber, 0.9, 0.09, 0.14}, {0.815, 0.325, 0.021, rose, 0.9, -0.1, 0.14},
		{0.185, 0.345, 0.023, coral, 0.9, 0.05, 0.12}, {0.51, 0.245, 0.030, gold, 1, -0.05, 0.08},
		{0.745, 0.195, 0.034, jade, 0.85, 0.1, 0.07}, {0.30, 0.185, 0.052, amber, 1, -0.1, 0.04},
		{0.60, 0.56, 0.058, coral, 1, 0.07, 0.035}, {0.83, 0.50, 0.040, amber, 1, -0.09, 0.05},
		{0.175, 0.57, 0.044, gold, 1, 0.08, 0.05},
	}
}

// haloReach is how far a lantern's light goes, in half widths.
const haloReach = 11

// around calls f for the pixels that a lantern's light reaches.
func (n *night) around(l lantern, f func(u, v float64, was light) light) {
	reach := haloReach * l.size
	n.within(columnOf(l.u-reach), columnOf(l.u+reach), rowOf(l.v-reach), rowOf(l.v+reach), f)
}

// hang adds a lantern's halo and body to the sky.
func (n *night) hang(l lantern) {
	n.around(l, func(u, v float64, was light) light {
		p := pt{u - l.u, v - l.v}.mul(1 / l.size).turned(-l.tilt)
		was = was.add(l.halo(p))
		if math.Abs(p.x) > 1.6 || math.Abs(p.y) > 2 {
			return was
		}
		cover, paper := l.body(p, n.hues.flame)
		return was.mix(paper, cover)
	})
}

// halo is the light around the lantern, p in half widths from its middle; it ends at haloReach.
func (l lantern) halo(p pt) light {
	r := math.Hypot(p.x, p.y-0.3)
	if r > haloReach {
		return light{}
	}
	fade := 1 - r/haloReach
	glow := 0.5*math.Exp(-r*r/5) + 0.16*math.Exp(-r/2.2)
	return l.paper.mul(glow * fade * fade * l.power)
}

// body gives how far the lantern covers p and its light: a dome over a tapering skirt, a flame low inside it.
func (l lantern) body(p pt, flameHue light) (cover float64, paper light) {
	t := (p.y + 1.3) / 2.35 // 0 at the crown, 1 at the rim
	half := lanternHalf(min(max(t, 0), 1))
	soft := max(l.blur, 1.2/(l.size*nightW))
	cover = ramp(soft, -soft, math.Abs(p.x)-half) * ramp(-soft, soft, p.y+1.3) * ramp(soft, -soft, p.y-1.05)
	if cover == 0 {
		return 0, light{}
	}
	flame := math.Exp(-(p.x*p.x*1.5 + (p.y-0.75)*(p.y-0.75)) / 0.55)
	bounce := 0.35 + 0.35*(1-t)*ramp(0, 0.3, t) + 0.25*t
	round := math.Sqrt(max(0, 1-math.Pow(p.x/(half+0.02), 2)))
	ribs := 1 - 0.16*math.Pow(math.Abs(math.Cos(math.Asin(min(max(p.x/(half+0.02), -1), 1))*3.5)), 14)
	fold := 1 - 0.06*noise(p.x*5, p.y*4, uint32(1000*l.u))
	paper = l.paper.mul(bounce * (0.45 + 0.65*round) * ribs * fold * 1.25)
	paper = paper.add(l.paper.mix(flameHue, 0.75).mul(2.4 * flame))
	rim := math.Exp(-math.Pow((p.y-0.99+0.09*round)/0.035, 2))
	paper = paper.mix(l.paper.mul(0.2), 0.75*rim)
	return cover, paper.mul(l.power)
}

// lanternHalf is the half width at t from the crown to the rim.
func lanternHalf(t float64) float64 {
	if t < 0.36 {
		d := 1 - t/0.36
		return math.Pow(max(0, 1-math.Pow(d, 2.3)), 1/2.3)
	}
	return 1 - 0.36*math.Pow((t-0.36)/0.64, 1.4)
}
