package separate

// pull draws a node's coverages towards those of its neighbours. The zero pull draws nowhere.
//
// Two springs: a soft one to the neighbours' mean, and one that acts only where a coverage differs from a neighbour's
// by more than a slope that shows no edge. Where several mixes of ink give one colour the second spreads the change
// from one to the other over many nodes at next to no cost in colour; where the colour itself needs the slope, it
// yields.
type pull struct {
	mean   []float64 // of the neighbours, one an ink
	rough  float64   // weight of the first spring, per squared coverage
	lo, hi []float64 // between these no neighbour is too far off
	steep  float64   // weight of the second spring
}

// newPull makes one with room for n inks.
func newPull(n int) pull {
	return pull{mean: make([]float64, n), lo: make([]float64, n), hi: make([]float64, n)}
}

// charge is what coverage c of ink i costs.
func (p *pull) charge(i int, c float64) float64 {
	if p.rough == 0 {
		return 0
	}
	d, e := c-p.mean[i], max(0, p.lo[i]-c, c-p.hi[i])
	return float64(p.rough*d*d)/2 + float64(p.steep*e*e)/2
}

// draw is the force on coverage c of ink i, upwards, and how fast it yields as c gives way.
func (p *pull) draw(i int, c float64) (force, weight float64) {
	if p.rough == 0 {
		return 0, 0
	}
	force, weight = p.rough*(p.mean[i]-c), p.rough
	if e := max(p.lo[i]-c, min(p.hi[i]-c, 0)); e != 0 {
		force, weight = force+float64(p.steep*e), weight+p.steep
	}
	return force, weight
}

// gather reads the neighbours of a node at a stride: their mean, and the range within most of all of them. Along an
// axis where one is missing both are left out of the mean, so that the mean of a straight ramp is the node itself, at
// the border too.
func (p *pull) gather(t *table, at [3]int, stride int, most float64) {
	for k := range p.mean {
		p.mean[k], p.lo[k], p.hi[k] = 0, 0, 1
	}
	n := 0.0
	for axis := range 3 {
		pairs := at[axis]-stride >= 0 && at[axis]+stride < nodes
		for _, d := range [2]int{-stride, stride} {
			to := at
			if to[axis] += d; to[axis] < 0 || to[axis] >= nodes {
				continue
			}
			for k, v := range t.node((to[0]*nodes+to[1])*nodes + to[2]) {
				if v-most > p.lo[k] {
					p.lo[k] = v - most
				}
				if v+most < p.hi[k] {
					p.hi[k] = v + most
				}
				if pairs {
					p.mean[k] += v
				}
			}
			if pairs {
				n++
			}
		}
	}
	p.settle(n, t.node((at[0]*nodes+at[1])*nodes+at[2]))
}

// settle turns sums into means; with no pair of neighbours the node itself is its mean. Ranges that neighbours far
// apart leave empty become their middle.
func (p *pull) settle(n float64, own []float64) {
	for k := range p.mean {
		if n == 0 {
			p.mean[k] = own[k]
		} else {
			p.mean[k] /= n
		}
		if p.lo[k] > p.hi[k] {
			p.lo[k] = (p.lo[k] + p.hi[k]) / 2
			p.hi[k] = p.lo[k]
		}
	}
}
