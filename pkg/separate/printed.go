package separate

import (
	"tamis/pkg/color"
	"tamis/pkg/ink"
)

// PrintOf is the colour that an opaque colour of the artwork, sRGB, comes out as. Safe for concurrent use.
func (r *Recipe) PrintOf(rgb color.RGB8) color.Lab { return r.apply.printed(rgb, r.stack).Lab() }

// ErrorOf is how far the print of an opaque colour of the artwork is from it, CIEDE2000. Safe for concurrent use.
func (r *Recipe) ErrorOf(rgb color.RGB8) float64 { return color.DeltaE00(r.PrintOf(rgb), rgb.Lab()) }

// printed is the light of a colour's print, averaged over its dots.
func (t *tones) printed(rgb color.RGB8, stack *ink.Stack) ink.Light {
	cov := make([]float64, stack.Len())
	t.lookup.coverages(rgb, cov)
	return stack.Light(cov)
}

func (d *diffuser) printed(rgb color.RGB8, _ *ink.Stack) ink.Light {
	share := make([]float64, d.lookup.inks)
	d.lookup.coverages(rgb, share)
	return d.mix.mixed(share)
}

// printed is that of the flat colour nearest to rgb, averaged over the dots where rgb is of a gradient: other blends of
// two are edges, not colours.
func (sp *spotter) printed(rgb color.RGB8, stack *ink.Stack) ink.Light {
	v, cov := rgba{float64(rgb.R), float64(rgb.G), float64(rgb.B), 255}, make([]float64, stack.Len())
	if f := sp.fadeOf(v); f != nil && sp.classAt(v) == edgePixel {
		f.each(f.at(v), func(k int, tone uint8) { cov[k] = float64(tone) / 255 })
		return stack.Light(cov)
	}
	m := sp.unmix(v, 0)
	for _, k := range sp.plates[m.a] {
		cov[k] = 1
	}
	return stack.Light(cov)
}
