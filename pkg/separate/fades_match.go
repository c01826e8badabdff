package separate

import (
	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/ink"
)

// fadeTargets lists the colours of the digest that gradients print, each with the coverages it prints at; weights are
// shares of the still pixels, as those of swatches, times their alpha.
func (sp *spotter) fadeTargets(d *artwork.Digest, ground color.RGB8) (list []target, covs [][]float64) {
	still := max(float64(d.Still*(1-d.Transparent)), 1e-12)
	for _, b := range d.Bins {
		v := premultipliedBin(b.StillRGB, b.Alpha)
		f := sp.fadeOf(v)
		if b.Still == 0 || f == nil || sp.classAt(v) != edgePixel {
			continue
		}
		rgb, cov := over(b.StillRGB, b.Alpha, ground), make([]float64, sp.count)
		f.each(f.at(v), func(k int, tone uint8) { cov[k] = float64(tone) / 255 })
		list = append(list, target{rgb: rgb, lab: rgb.Lab(), weight: float64(b.Still*b.Alpha) / still, share: b.Still})
		covs = append(covs, cov)
	}
	return list, covs
}

// matchFades adds what gradients show to the match of the flat colours, and gives by how much the plates' dots would
// overlap beyond chance: see Recipe.Overlap.
func (sp *spotter) matchFades(
	flats []target, errs []float64, d *artwork.Digest, stack *ink.Stack, ground color.RGB8,
) (mean, p95 float64, overlaps []float64) {
	list, covs := sp.fadeTargets(d, ground)
	overlaps = make([]float64, sp.count*sp.count)
	if len(list) > 0 {
		sp.weighFlats(flats, d)
	}
	for i, t := range list {
		flats, errs = append(flats, t), append(errs, errorOf(stack, covs[i], t.lab))
		addOverlaps(overlaps, covs[i], t.share)
	}
	mean, p95 = match(flats, errs)
	return mean, p95, overlaps
}

// weighFlats gives flat colours the weight of the still pixels that are of them alone: the palette counts those of
// gradients with the nearest. Colours of thin strokes have none and stay as they are.
func (sp *spotter) weighFlats(flats []target, d *artwork.Digest) {
	still, own := max(float64(d.Still*(1-d.Transparent)), 1e-12), make([]float64, len(sp.colors))
	for _, b := range d.Bins {
		if at := sp.classAt(premultipliedBin(b.StillRGB, b.Alpha)); at != edgePixel {
			own[at] += b.Still / still
		}
	}
	for i := range flats {
		if own[i] > 0 {
			flats[i].weight = own[i]
		}
	}
}

// addOverlaps adds what the dots of each two plates, set dot on dot, would cover in common beyond chance.
func addOverlaps(onto, cov []float64, share float64) {
	for k := range cov {
		for l := range k {
			onto[k*len(cov)+l] += float64(share * (min(cov[k], cov[l]) - float64(cov[k]*cov[l])))
		}
	}
}
