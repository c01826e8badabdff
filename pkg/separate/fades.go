package separate

import (
	"slices"

	"tamis/pkg/artwork"
)

// Figures of the search for gradients in flat art. Ours; the fade tests hold them.
const (
	flatCore  = 0.7   // share of the still pixels about a flat colour that are of it; in a gradient they spread evenly
	coreCodes = 8     // how far from it, in codes a channel, a pixel still counts as of that colour,
	nearCodes = 24    // and as about it
	nearFade  = 16.0  // codes that a gradient's pixel may lie off the way between its two colours
	leastFade = 0.005 // share of the still pixels that gradients must hold to be worth a screen's dots
	mostFades = 6     // ways between two colours
	leastWay  = 0.05  // share of the gradients' pixels that a way must hold
	flatShare = 0.4   // share of the still pixels that are flat colours where art with gradients counts as flat,
	mostStray = 0.03  // and most of them that are neither of those nor of a gradient
	mostFlats = 10    // and most flat colours: with an underbase a press has no more stations,
	allStill  = 0.6   // and least share of still pixels: photographs have few
)

// way is a gradient between two flat colours, by their places among the spotter's; what lies past the swatches is the
// bare garment.
type way [2]int

// flatsAndFades lists the flat colours of the artwork and the ways between them along which still pixels spread.
//
// A palette colour whose pixels spread is no flat colour where it is a blend of two that are; what then is still not
// explained is the end of a gradient, the farthest first, and counts as a flat colour. Without gradients worth it the
// palette stays as it is.
func flatsAndFades(d *artwork.Digest) (list []swatch, ways []way) {
	all := swatchesOf(d)
	still := 0.0
	for _, b := range d.Bins {
		still += b.Still
	}
	var spread []swatch
	for i, w := range all {
		if !w.thin && core(d, all, i) < flatCore {
			spread = append(spread, w)
		} else {
			list = append(list, w)
		}
	}
	list = append(list, endsOf(spread, list)...)
	ways = waysBetween(list, d, leastFade*still)
	if ways == nil {
		return all, nil
	}
	return list, ways
}

// flatButForFades tells art whose still pixels are a few flat colours and gradients between those.
func flatButForFades(d *artwork.Digest) bool {
	list, ways := flatsAndFades(d)
	if ways == nil || len(list) > mostFlats || d.Still < allStill {
		return false
	}
	sp := &spotter{}
	for _, w := range list {
		sp.colors = append(sp.colors, opaque(w))
	}
	sp.colors = append(sp.colors, rgba{})
	for _, w := range ways {
		sp.fades = append(sp.fades, fade{low: sp.colors[w[0]], high: sp.colors[w[1]]})
	}
	flat, stray, still := 0.0, 0.0, 0.0
	for _, b := range d.Bins {
		still += b.Still
		switch v := premultipliedBin(b.StillRGB, b.Alpha); {
		case sp.classAt(v) != edgePixel:
			flat += b.Still
		case sp.fadeOf(v) == nil:
			stray += b.Still
		}
	}
	return flat >= flatShare*still && stray <= mostStray*still
}

// core is the part of the still pixels about colour i that are of it, those of other colours left out.
func core(d *artwork.Digest, all []swatch, i int) float64 {
	of, about := 0.0, 0.0
	for _, b := range d.Bins {
		if b.Still == 0 {
			continue
		}
		v := premultipliedBin(b.StillRGB, b.Alpha)
		switch far := apart(v, opaque(all[i])); {
		case far <= coreCodes:
			of, about = of+b.Still, about+b.Still
		case far <= nearCodes && !slices.ContainsFunc(all, func(w swatch) bool { return apart(v, opaque(w)) <= coreCodes }):
			about += b.Still
		}
	}
	return of / max(about, 1e-12)
}

// apart is the largest difference of two colours, in codes a channel.
func apart(v, c rgba) float64 {
	far := 0.0
	for ch := range 4 {
		far = max(far, v[ch]-c[ch], c[ch]-v[ch])
	}
	return far
}

// endsOf picks from colours that spread those that flat colours do not explain, the farthest off first.
func endsOf(spread, flat []swatch) (ends []swatch) {
	for {
		known := &spotter{colors: []rgba{{}}}
		for _, w := range append(slices.Clone(flat), ends...) {
			known.colors = append(known.colors, opaque(w))
		}
		at, worst := -1, nearFade*nearFade
		for i, w := range spread {
			if far := known.farOff(opaque(w)); far > worst {
				at, worst = i, far
			}
		}
		if at < 0 {
			return ends
		}
		ends = append(ends, spread[at])
	}
}

// farOff is the squared distance to the nearest blend of two colours.
func (sp *spotter) farOff(v rgba) float64 {
	least := 1e18
	for a := range sp.colors {
		for b := range a + 1 {
			_, far := between(v, sp.colors[b], sp.colors[a])
			least = min(least, far)
		}
	}
	return least
}

// waysBetween finds the ways that still pixels off the flat colours lie on, by falling share; nil where less than
// least lies on any.
func waysBetween(list []swatch, d *artwork.Digest, least float64) []way {
	sp := &spotter{}
	for _, w := range list {
		sp.colors = append(sp.colors, opaque(w))
	}
	sp.colors = append(sp.colors, rgba{})
	shares, total := map[way]float64{}, 0.0
	for _, b := range d.Bins {
		v := premultipliedBin(b.StillRGB, b.Alpha)
		if b.Still == 0 || sp.classAt(v) != edgePixel {
			continue
		}
		m := sp.unmix(v, 1<<len(sp.colors)-1)
		if _, far := between(v, sp.colors[m.b], sp.colors[m.a]); far > nearFade*nearFade {
			continue
		}
		shares[way{m.a, m.b}] += b.Still
		total += b.Still
	}
	if total < least {
		return nil
	}
	var ways []way
	for a := range sp.colors { // in order: a map has none
		for b := range a {
			if shares[way{a, b}] >= leastWay*total {
				ways = append(ways, way{a, b})
			}
		}
	}
	slices.SortStableFunc(ways, func(v, w way) int { return descending(shares[v], shares[w]) })
	return ways[:min(len(ways), mostFades)]
}

func descending(a, b float64) int {
	switch {
	case a > b:
		return -1
	case a < b:
		return 1
	}
	return 0
}
