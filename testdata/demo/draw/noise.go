package draw

import "math"

// hash gives a fixed pseudo-random figure, 0 to 1, for a lattice point and a seed.
func hash(x, y int, seed uint32) float64 {
	h := uint32(x)*0x9e3779b1 ^ uint32(y)*0x85ebca77 ^ seed*0xc2b2ae3d
	h = (h ^ h>>15) * 0x2c1b3c6d
	h = (h ^ h>>12) * 0x297a2d39
	return float64((h^h>>15)>>8) / (1 << 24)
}

// noise is value noise, 0 to 1, smooth, with lattice points one apart.
func noise(x, y float64, seed uint32) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := int(fx), int(fy)
	tx, ty := ease(x-fx), ease(y-fy)
	top := mix(hash(ix, iy, seed), hash(ix+1, iy, seed), tx)
	foot := mix(hash(ix, iy+1, seed), hash(ix+1, iy+1, seed), tx)
	return mix(top, foot, ty)
}

// clouded sums octaves of noise, each twice as fine and half as strong as the one before; 0 to 1.
func clouded(x, y float64, octaves int, seed uint32) float64 {
	sum, weight, all := 0.0, 1.0, 0.0
	for i := range octaves {
		sum += float64(weight * noise(x, y, seed+uint32(i)))
		all += weight
		x, y, weight = x*2.03, y*2.03, weight/2
	}
	return sum / all
}

func mix(a, b, t float64) float64 { return a + float64((b-a)*t) }

// ease is the smooth step from 0 to 1 for t from 0 to 1.
func ease(t float64) float64 { return t * t * (3 - float64(2*t)) }

// ramp goes from 0 at lo to 1 at hi, smoothly, and stays there.
func ramp(lo, hi, t float64) float64 { return ease(min(max((t-lo)/(hi-lo), 0), 1)) }
