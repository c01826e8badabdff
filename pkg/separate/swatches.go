package separate

import "tamis/pkg/artwork"

// Figures of the search for colours that only thin strokes have. Ours; TestHairlinesKeepTheirColour holds them.
const (
	leastThin = 0.0005 // share of the inked area a bin must hold
	farBlend  = 40.0   // codes a colour must be away from every blend of two known ones
)

// swatchesOf lists the flat colours: the palette of the still pixels, and colours that only strokes too thin to have
// still pixels have: bins that no blend of two known colours explains, the most frequent first.
func swatchesOf(d *artwork.Digest) []swatch {
	var list []swatch
	palette := d.Palette(leastPalette)
	for _, p := range palette[:min(len(palette), mostPalette)] {
		list = append(list, swatch{rgb: p.Color, lab: p.Color.Lab(), share: p.Share})
	}
	inked := 1 - d.Transparent
	known := &spotter{colors: []rgba{{}}}
	for _, w := range list {
		known.colors = append(known.colors, opaque(w))
	}
	for _, b := range d.Bins {
		if len(list) == mostPalette || b.Share < leastThin*inked {
			break
		}
		if known.explains(premultipliedBin(b.RGB, b.Alpha)) {
			continue
		}
		w := swatch{rgb: b.Color(), lab: b.Color().Lab(), share: b.Share / inked, thin: true}
		list, known.colors = append(list, w), append(known.colors, opaque(w))
	}
	return list
}

func opaque(w swatch) rgba {
	return rgba{float64(w.rgb.R), float64(w.rgb.G), float64(w.rgb.B), 255}
}

func premultipliedBin(rgb [3]float64, alpha float64) rgba {
	return rgba{rgb[0] * alpha, rgb[1] * alpha, rgb[2] * alpha, 255 * alpha}
}

// explains tells whether some blend of two known colours is near.
func (sp *spotter) explains(v rgba) bool {
	for a := range sp.colors {
		for b := range a + 1 {
			if _, far := between(v, sp.colors[b], sp.colors[a]); far < farBlend*farBlend {
				return true
			}
		}
	}
	return false
}
