// Package ink is the print model: what colour a stack of halftoned inks shows on a garment.
//
// What goes in: inks known by their solids measured over a white and over a black card, the cards, the ground (the
// garment), and a coverage 0..1 per ink in press order. What comes out: the colour of the print, and its derivatives
// by coverage for those who invert the model (separate).
//
// Per channel of the root of light (Gain) a solid over any ground is affine in that ground, and dots of different inks
// overlap at random, so a stack is exact in one pass: the Neugebauer-Demichel sum without its 2^N terms. The light that
// spreads under the dots is in that root; what makes dots grow is not here, it lives in the tone curves. The package
// knows nothing of pictures, plates or meshes.
//
// Sources: design of the model: Ours, after Demichel (1924) and Neugebauer (1937), Yule and
// Nielsen (1951); tests: the explicit sum, 1e-12; nine sets of measured patches.
package ink

import "tamis/pkg/color"

// Kind is the sort of ink, as the shop's documents name it.
type Kind string

// The kinds of ink.
const (
	Plastisol Kind = "plastisol"
	WaterBase Kind = "water_base"
	Process   Kind = "process" // transparent cyan, magenta, yellow, black
)

// Ink is one ink of the shop. OverWhite and OverBlack are its solid over the two cards, CIELAB D50.
type Ink struct {
	ID, Name, Hex        string
	Kind                 Kind
	OverWhite, OverBlack color.Lab
	DensityGCM3          float64
	MaxParticleUM        float64
}

// Opacity is the contrast ratio Y over black / Y over white, 0 (transparent) .. 1 (hiding).
//
// Source: ISO 6504-3 (definition of the contrast ratio).
func (i Ink) Opacity() float64 {
	over := i.OverWhite.XYZ().Y
	if over <= 0 {
		return 1
	}
	return i.OverBlack.XYZ().Y / over
}

// IsWhite tells an ink that can be an underbase or a highlight: light over black, without a hue of its own.
//
// Ours: L 75 over black separates the whites (85 to 90) from light yellows and pinks, chroma 12 from tints.
func (i Ink) IsWhite() bool {
	return i.OverBlack.L >= 75 && i.OverBlack.Chroma() < 12 && i.OverWhite.Chroma() < 12
}

// IsBlack tells a black: dark and without hue over white.
func (i Ink) IsBlack() bool { return i.OverWhite.L < 32 && i.OverWhite.Chroma() < 12 }

// Cards are the colours of the two cards the solids were measured on.
type Cards struct{ White, Black color.Lab }

// DefaultCards are the usual drawdown cards.
func DefaultCards() Cards {
	return Cards{White: color.Lab{L: 95, B: -2}, Black: color.Lab{L: 10}}
}
