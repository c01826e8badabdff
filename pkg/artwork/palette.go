package artwork

import (
	"math"
	"sort"

	"tamis/pkg/color"
)

// PaletteColor is one flat colour of the artwork, with its share of the still pixels.
type PaletteColor struct {
	Color color.RGB8
	Share float64
}

// Palette finds the flat colours: the still pixels' bins, most frequent first, each taking what lies within the
// radius. Edge pixels take no part, so blended edges do not become colours. Colours under least (share of the still
// pixels) are left out.
func (d *Digest) Palette(least float64) []PaletteColor {
	list, _ := d.palette()
	kept := list[:0]
	for _, p := range list {
		if p.Share >= least {
			kept = append(kept, p)
		}
	}
	return kept
}

// palette gives all colours, by falling share, and the share of still pixels that stray from the cores.
func (d *Digest) palette() (list []PaletteColor, stray float64) {
	bins := append([]Bin{}, d.Bins...)
	sort.SliceStable(bins, func(i, j int) bool { return bins[i].Still > bins[j].Still })
	var labs []color.OKLab
	total := 0.0
	for _, b := range bins {
		if b.Still == 0 {
			break
		}
		ok := b.StillColor().OKLab()
		at, best := ok.Nearest(labs)
		if best > paletteRadius {
			labs, list = append(labs, ok), append(list, PaletteColor{b.StillColor(), b.Still})
		} else {
			list[at].Share += b.Still
			if best > paletteCore {
				stray += b.Still
			}
		}
		total += b.Still
	}
	for i := range list {
		list[i].Share /= total
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].Share > list[j].Share })
	return list, stray / max(total, math.SmallestNonzeroFloat64)
}

// mostColors is how many main colours an inspection names.
const mostColors = 12

// mainColors names up to 12 colours by their share of the inked area: of flat art the flat colours that hold 1 % or
// more, of other art the means of the groups its colours fall into.
func (d *Digest) mainColors(kind Kind, lines bool) []ColorShare {
	var list []PaletteColor
	switch {
	case lines:
		list = d.lineColors()
	case kind == Flat:
		list = d.Palette(0.01)
	default:
		list = d.groups()
	}
	out := []ColorShare{}
	for _, p := range list[:min(len(list), mostColors)] {
		out = append(out, ColorShare{Hex: p.Color.Hex(), Share: math.Round(p.Share*1e4) / 1e4})
	}
	return out
}

// groups gathers all colours about the most frequent ones, within a radius that grows until at most mostColors groups
// hold everything, and gives the groups' means by falling share. Shares are of the inked area and sum to 1.
func (d *Digest) groups() []PaletteColor {
	bins := append([]Bin{}, d.Bins...)
	sort.SliceStable(bins, func(i, j int) bool { return bins[i].Share*bins[i].Alpha > bins[j].Share*bins[j].Alpha })
	for radius := 0.06; ; radius *= 1.25 {
		if list := gather(bins, radius); list != nil {
			sort.SliceStable(list, func(i, j int) bool { return list[i].Share > list[j].Share })
			return list
		}
	}
}

// gather puts each bin, in order, to the nearest centre within the radius or makes it one; nil past mostColors centres.
func gather(bins []Bin, radius float64) []PaletteColor {
	var centres []color.OKLab
	var sums [][3]float64
	var weights []float64
	total := 0.0
	for _, b := range bins {
		ok := b.Color().OKLab()
		at, best := ok.Nearest(centres)
		if best > radius {
			if len(centres) == mostColors {
				return nil
			}
			at = len(centres)
			centres, sums, weights = append(centres, ok), append(sums, [3]float64{}), append(weights, 0)
		}
		w := b.Share * b.Alpha
		for c := range 3 {
			sums[at][c] += float64(w * b.RGB[c])
		}
		weights[at] += w
		total += w
	}
	list := []PaletteColor{}
	for i, w := range weights {
		if w > 0 {
			list = append(list, PaletteColor{rounded([3]float64{sums[i][0] / w, sums[i][1] / w, sums[i][2] / w}), w / total})
		}
	}
	return list
}
