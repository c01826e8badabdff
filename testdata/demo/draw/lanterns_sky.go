package draw

import "math"

// sky paints dusk from deep violet to a yellow rim, clouds lit from below, and stars.
func (n *night) sky() {
	dusk := []stop{
		{0, lit(0x0d1038)}, {0.2, lit(0x241a5e)}, {0.36, lit(0x5a2382)}, {0.5, lit(0xb0347a)},
		{0.61, lit(0xec5f3e)}, {0.69, lit(0xffa63c)}, {0.75, lit(0xffd873)},
	}
	column := make([]light, rowOf(shoreV)+1)
	for y := range column {
		column[y] = gradient(dusk, float64(y)/nightW)
	}
	n.each(0, rowOf(shoreV)+1, func(u, v float64, _ light) light {
		here := column[rowOf(v)]
		side := (u - 0.62) * (u - 0.62)
		here = here.mul(1 - 0.75*side)
		return n.cloud(u, v, here).add(n.stars(u, v))
	})
}

// cloud lays long thin clouds over the sky: dark violet above, burning below.
func (n *night) cloud(u, v float64, sky light) light {
	drift := clouded(u*2.2, v*9, 4, 5)
	c := clouded(u*3+drift*0.8, v*15+drift, 5, 11)
	body := ramp(0.5, 0.74, c) * ramp(0.04, 0.3, v)
	if body == 0 {
		return sky
	}
	under := clouded(u*3+drift*0.8, (v+0.012)*15+drift, 4, 11)
	rim := ramp(0.02, 0.16, c-under+0.06)
	warm := n.hues.ember.mix(n.hues.orchid, ramp(0.55, 0.25, v))
	tone := n.hues.cloud.mix(warm, 0.25+0.75*rim*ramp(0.1, 0.5, v))
	return sky.mix(tone, 0.62*body)
}

// stars are soft points, one at most in each cell of a lattice; they pale towards the horizon.
func (n *night) stars(u, v float64) light {
	const cells = 46.0
	high := ramp(0.44, 0.05, v)
	if high == 0 {
		return light{}
	}
	cx, cy := math.Floor(u*cells), math.Floor(v*cells)
	ix, iy := int(cx), int(cy)
	size := hash(ix, iy, 31)
	if size < 0.45 {
		return light{}
	}
	dx := u*cells - cx - 0.2 - 0.6*hash(ix, iy, 32)
	dy := v*cells - cy - 0.2 - 0.6*hash(ix, iy, 33)
	r := 0.02 + 0.05*math.Pow(size, 6)
	glow := math.Exp(-(dx*dx + dy*dy) / (r * r))
	hue := n.hues.starCool.mix(n.hues.starWarm, hash(ix, iy, 34))
	return hue.mul(glow * high * (0.3 + 1.1*size*size))
}

// ridge is one range of hills in the haze.
type ridge struct {
	base, rise, grain float64 // foot and height in units of the width; bends per width
	crest, foot       light
	pines             float64 // height of the trees on its crest, 0 none
	seed              uint32
}

func ridges() []ridge {
	return []ridge{
		{0.675, 0.17, 2.6, lit(0x93418a), lit(0xe9764f), 0, 101},
		{0.695, 0.125, 3.4, lit(0x5f2c7c), lit(0xb9507a), 0, 117},
		{0.712, 0.085, 4.3, lit(0x352264), lit(0x7a3a80), 0.004, 135},
		{0.735, 0.05, 5.5, lit(0x10242f), lit(0x1f4a3c), 0.02, 151},
	}
}

// ridges stand one before the other, each paler at its foot where mist lies.
func (n *night) ridges() {
	for _, r := range ridges() {
		crest := make([]float64, nightW)
		for x := range crest {
			crest[x] = r.crestAt((float64(x) + 0.5) / nightW)
		}
		n.each(rowOf(r.base-r.rise-0.04), rowOf(shoreV)+1, func(u, v float64, was light) light {
			top := crest[int(u*nightW)]
			cover := min(max((v-top)*nightW+0.5, 0), 1)
			if cover == 0 {
				return was
			}
			depth := ramp(top, r.base, v)
			grain := 0.9 + 0.2*clouded(u*40, v*60, 3, r.seed+7)
			return was.mix(r.crest.mix(r.foot, depth).mul(grain), cover)
		})
	}
}

func (r ridge) crestAt(u float64) float64 {
	h := clouded(u*r.grain, 0.5, 6, r.seed)
	line := r.base - r.rise*ramp(0.12, 0.85, h)
	if r.pines == 0 {
		return line
	}
	return line - r.pinesAt(u)
}

// pinesAt gives the height of the tallest pine that covers u: narrow cones of many sizes, ragged by their boughs.
func (r ridge) pinesAt(u float64) float64 {
	tall := 0.0
	pitch := r.pines * 0.2
	cell := int(math.Floor(u / pitch))
	for i := cell - 3; i <= cell+3; i++ {
		stem := (float64(i) + hash(i, 1, r.seed)) * pitch
		height := r.pines * (0.35 + 0.75*hash(i, 2, r.seed)*clouded(stem*9, 3, 2, r.seed))
		off := math.Abs(u-stem) / (0.19 * height)
		if off > 1 {
			continue
		}
		bough := 0.13 * math.Abs(math.Mod(off*4, 1)-0.5)
		tall = max(tall, height*(1-off+bough))
	}
	return tall
}

// mist lies in bands before the far shore.
func (n *night) mist() {
	n.each(rowOf(0.6), rowOf(shoreV)+1, func(u, v float64, was light) light {
		lie := math.Exp(-math.Pow((v-0.722)/0.02, 2)) + 0.5*math.Exp(-math.Pow((v-0.688)/0.016, 2))
		drift := clouded(u*3.5, v*26, 4, 201)
		hue := n.hues.mistWarm.mix(n.hues.mistCool, ramp(0.2, 0.8, clouded(u*1.7, 1, 2, 207)))
		return was.mix(hue, 0.55*lie*ramp(0.3, 0.75, drift))
	})
}
