package separate

import (
	"math"
	"sort"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
)

// target is a colour the print should show: a bin of the digest laid over the garment, with its share of the
// printed area.
type target struct {
	rgb    color.RGB8
	lab    color.Lab
	weight float64 // share of the printed area; all targets sum to 1
	share  float64 // share of the print box
}

// targetsOf lays each bin over the garment as its alpha says. Bins count by how much ink they could ask for: their
// share times their alpha.
func targetsOf(d *artwork.Digest, ground color.Lab) []target {
	g := ground.RGB8()
	list := make([]target, 0, len(d.Bins))
	total := 0.0
	for _, b := range d.Bins {
		rgb := over(b.RGB, b.Alpha, g)
		t := target{rgb: rgb, lab: rgb.Lab(), weight: b.Share * b.Alpha, share: b.Share}
		total += t.weight
		list = append(list, t)
	}
	for i := range list {
		list[i].weight /= total
	}
	return list
}

// over blends sRGB codes over the garment, as programs that draw artwork do.
func over(rgb [3]float64, alpha float64, g color.RGB8) color.RGB8 {
	mix := func(v float64, under uint8) uint8 {
		return uint8(float64(v*alpha) + float64(float64(under)*(1-alpha)) + 0.5)
	}
	return color.RGB8{R: mix(rgb[0], g.R), G: mix(rgb[1], g.G), B: mix(rgb[2], g.B)}
}

// condensed is a shorter list that stands for the whole in searches: the heaviest n cells of a coarse OKLab grid take
// in their nearest lighter ones.
func condensed(all []target, n int) []target {
	if len(all) <= n {
		return all
	}
	sorted := append([]target{}, all...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].weight > sorted[j].weight })
	var kept []target
	var labs []color.OKLab
	for _, t := range sorted {
		ok := t.rgb.OKLab()
		best, at := math.Inf(1), -1
		for i, l := range labs {
			if d := ok.Distance(l); d < best {
				best, at = d, i
			}
		}
		if best > condenseRadius && len(kept) < n {
			kept, labs = append(kept, t), append(labs, ok)
			continue
		}
		kept[at].weight += t.weight
		kept[at].share += t.share
	}
	return kept
}

// condenseRadius keeps searches from spending their colours on near twins: 0.03 OKLab is about 3 CIEDE2000.
const condenseRadius = 0.03

// match gives the weighted mean and 95th percentile of errors, one a target.
func match(list []target, errs []float64) (mean, p95 float64) {
	order := make([]int, len(errs))
	total := 0.0
	for i := range order {
		order[i] = i
		mean += float64(list[i].weight * errs[i])
		total += list[i].weight
	}
	sort.SliceStable(order, func(a, b int) bool { return errs[order[a]] < errs[order[b]] })
	run := 0.0
	for _, i := range order {
		if run += list[i].weight; run >= 0.95*total {
			return mean / total, errs[i]
		}
	}
	return mean / total, errs[order[len(order)-1]]
}
