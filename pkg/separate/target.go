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

// Colours nearer the garment than bareE00 (CIEDE2000: less is not seen) ask for no ink: a white sheet on a white shirt.
// They keep bareWeight of their weight, so that artwork of nothing else still has one, and a haze over the whole sheet
// is looked at. Ours; TestBarePaperIsNoPrintedArea holds them.
const (
	bareE00    = 1.0
	bareWeight = 0.02
)

// targetsOf lays each bin over the garment as its alpha says. Bins count by how much ink they could ask for: their
// share times their alpha, next to nothing where that shows the garment.
func targetsOf(d *artwork.Digest, ground color.Lab) []target {
	g := ground.RGB8()
	list := make([]target, 0, len(d.Bins))
	total := 0.0
	for _, b := range d.Bins {
		rgb := over(b.RGB, b.Alpha, g)
		t := target{rgb: rgb, lab: rgb.Lab(), weight: b.Share * b.Alpha, share: b.Share}
		if color.DeltaE00(t.lab, ground) < bareE00 {
			t.weight *= bareWeight
		}
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

// condensed is a list of at most n targets that stands for the whole in searches: no colour lies farther from its
// stand-in than a radius that grows until n suffice. So rare saturated colours are not lost in frequent dull ones.
func condensed(all []target, n int) []target {
	sorted := append([]target{}, all...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].weight > sorted[j].weight })
	labs := make([]color.OKLab, len(sorted))
	for i, t := range sorted {
		labs[i] = t.rgb.OKLab()
	}
	for radius := 0.01; ; radius *= 1.2 {
		if groups := cover(labs, radius, n); groups != nil {
			return standIns(sorted, groups)
		}
	}
}

// cover groups colours, each with the nearest of those that found no group within the radius before it; nil when that
// takes more than n groups. The result names each colour's group.
func cover(labs []color.OKLab, radius float64, n int) []int {
	groups := make([]int, len(labs))
	var centers []color.OKLab
	for i, c := range labs {
		at, best := c.Nearest(centers)
		if best > radius {
			if len(centers) == n {
				return nil
			}
			centers, at = append(centers, c), len(centers)
		}
		groups[i] = at
	}
	return groups
}

// standIns are the weighted mean colours of groups, in light.
func standIns(list []target, groups []int) []target {
	var out []target
	var sums []color.Linear
	for i, t := range list {
		if groups[i] == len(out) {
			out, sums = append(out, target{}), append(sums, color.Linear{})
		}
		g, l := groups[i], t.rgb.Linear()
		out[g].weight += t.weight
		out[g].share += t.share
		sums[g].R += float64(t.weight * l.R)
		sums[g].G += float64(t.weight * l.G)
		sums[g].B += float64(t.weight * l.B)
	}
	for g := range out {
		w := max(out[g].weight, math.SmallestNonzeroFloat64)
		out[g].rgb = color.Linear{R: sums[g].R / w, G: sums[g].G / w, B: sums[g].B / w}.RGB8()
		out[g].lab = out[g].rgb.Lab()
	}
	return out
}

// lostE00 is the difference from which a colour counts as another one. Practice: 20 is red against orange.
const lostE00 = 20

// seen is how much a difference of e CIEDE2000 weighs when inks are chosen: small ones as they are, colours that turn
// into others more. A sea that is a little too grey is passed over; a yellow field that prints green is not.
//
// Ours; TestARareColourIsWorthMoreThanAShadeOfAFrequentOne holds it.
func seen(e float64) float64 { return e + float64(e*e/lostE00) }

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
