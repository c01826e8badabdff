package separate

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/ink"
)

// Figures of the inks mixed for an artwork. Ours.
const (
	mostMixed    = 12     // more candidates make the ladder slow and find nothing better
	leastMixed   = 0.0005 // share of the artwork that a colour must hold
	strongChroma = 25     // CIELAB chroma from which a colour may end the gamut
	hueSectors   = 12
	usualHiding  = 0.55 // of a spot ink where the shop has none to learn from
)

const mixedPrefix = "mix-"

// IsMixed tells the id of an ink mixed for an artwork from one of the shop's.
func IsMixed(id string) bool { return strings.HasPrefix(id, mixedPrefix) }

// MixedInks are inks that could be mixed for an artwork: its main colours, and the strongest of each hue, since tones
// are mixed from the ends of the gamut. A mix is matched on what it will lie on, the shop's white as an underbase on a
// dark garment, the white card on a light one, and hides as the shop's own spot inks do on average.
//
// Their solids are assumed: a mix comes out as it was matched, and how it hides shows in a drawdown.
func MixedInks(insp *artwork.Inspection, shop []ink.Ink, cards ink.Cards, ground color.Lab) []ink.Ink {
	like := averageSpot(shop)
	white, black, on := ink.LightOf(cards.White), ink.LightOf(cards.Black), cards.White
	if base := whiteInk(shop); base != nil && ground.L < lightGround {
		on = base.OverBlack
	}
	hiding := ink.LightOf(like.OverBlack)
	var list []ink.Ink
	for _, rgb := range mixColors(insp) {
		one := like
		one.ID, one.Name, one.Hex = mixedPrefix+rgb.Hex()[1:], "Mix "+rgb.Hex(), rgb.Hex()
		match, under := ink.LightOf(rgb.Lab()), ink.LightOf(on)
		var overBlack, overWhite ink.Light
		for c, m := range match {
			overBlack[c] = m * hiding[c]
			slope := (m - overBlack[c]) / max(under[c]-black[c], 0.1)
			overWhite[c] = m + float64(slope*(white[c]-under[c]))
		}
		one.OverBlack, one.OverWhite = overBlack.Lab(), overWhite.Lab()
		if one.IsWhite() || one.IsBlack() {
			continue // the shop has those
		}
		list = append(list, one)
	}
	return list
}

// averageSpot has the average density and largest particle of the spot inks, and as OverBlack a grey whose Y is their
// average contrast ratio.
func averageSpot(shop []ink.Ink) ink.Ink {
	out, hiding, n := ink.Ink{Kind: ink.Plastisol, DensityGCM3: 1.2}, 0.0, 0.0
	density := 0.0
	for _, in := range shop {
		if in.Kind == ink.Process || in.IsWhite() || in.IsBlack() {
			continue
		}
		hiding += in.Opacity()
		density += in.DensityGCM3
		out.MaxParticleUM = max(out.MaxParticleUM, in.MaxParticleUM)
		n++
	}
	y := usualHiding
	if n > 0 {
		y, out.DensityGCM3 = hiding/n, density/n
	}
	out.OverBlack = color.XYZ{X: 0.9642 * y, Y: y, Z: 0.8249 * y}.Lab()
	return out
}

// hueSector is the twelfth of the CIELAB hue circle a colour lies in.
func hueSector(c color.Lab) int {
	turn := (math.Atan2(c.B, c.A)/math.Pi + 1) / 2
	return min(int(turn*hueSectors), hueSectors-1)
}

// mixColors are the strongest colours of each hue, then the most frequent ones, at most mostMixed, none near another.
func mixColors(insp *artwork.Inspection) []color.RGB8 {
	var strongest [hueSectors]target
	list := targetsOf(&insp.Digest, color.Lab{L: 100})
	for _, t := range list {
		c := t.lab.Chroma()
		if t.weight < leastMixed || c < strongChroma {
			continue
		}
		if s := &strongest[hueSector(t.lab)]; s.weight == 0 || c > s.lab.Chroma() {
			*s = t
		}
	}
	main := condensed(list, mostMixed)
	slices.SortStableFunc(main, func(a, b target) int { return cmp.Compare(b.weight, a.weight) })
	var out []color.RGB8
	for _, t := range append(strongest[:], main...) {
		near := func(other color.RGB8) bool { return color.DeltaE00(other.Lab(), t.lab) < 2*farMatch }
		if t.weight > 0 && len(out) < mostMixed && !slices.ContainsFunc(out, near) {
			out = append(out, t.rgb)
		}
	}
	return out
}
