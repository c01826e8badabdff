package draw

import "math"

// bladeCover says how far a layer of reeds covers a place: one blade in each cell of
// 1/perWidth, rooted at bank; the bank itself is covered.
func bladeCover(u, v, bank, perWidth float64, seed uint32) float64 {
	if v > bank {
		return 1
	}
	cover := 0.0
	cell := int(math.Floor(u * perWidth))
	for i := cell - 2; i <= cell+2; i++ {
		height := (0.03 + 0.085*math.Pow(hash(i, 1, seed), 2)) * 70 / perWidth
		t := (bank - v) / height // 0 at the root, 1 at the tip
		if t > 1 {
			continue
		}
		lean := (hash(i, 2, seed) - 0.5) * 1.6 / perWidth
		stem := (float64(i)+hash(i, 3, seed))/perWidth + lean*t*t
		half := (0.0022 + 0.0012*hash(i, 4, seed)) * (1 - t*t) * 70 / perWidth
		cover = max(cover, min(max((half-math.Abs(u-stem))*nightW+0.5, 0), 1))
	}
	return cover
}

// blades gives the light on a layer of reeds: green at the tips, dark at the roots, warmed from the lake.
func (h hues) blades(u, v, bank, perWidth float64, seed uint32) light {
	tip := ramp(bank, bank-0.09, v)
	cell := noise(u*perWidth*2, 0, seed)
	turf := 0.5 + noise(u*420, v*16, seed+5)
	green := h.turf.mul(turf*ramp(bank+0.05, bank-0.01, v)).add(h.root).mix(h.tip, tip*(0.4+0.6*cell))
	warm := math.Exp(-math.Pow((u-0.45)/0.3, 2)) * tip
	return green.add(h.lanternOnTip.mul(0.16 * warm * cell)).mul(ramp(1.19, 0.98, v)*0.9 + 0.1)
}
