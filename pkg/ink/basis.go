package ink

import (
	"math"

	"tamis/pkg/color"
)

// Gain is Yule and Nielsen's n: light mixes as its n-th root. 1 would be dots that keep their light, 2 light that
// spreads over all of them.
//
// Source: J. A. C. Yule and W. J. Nielsen, TAGA (1951). Ours: chosen on FOGRA39L, overprints predicted, mean and 95th
// percentile CIEDE2000 over all patches: n = 1 2.67 / 5.05, 1.5 1.58 / 3.36, 2 1.77 / 3.03; eight other sets of
// coated, uncoated and newsprint gain alike. At 1.5 the areas left for the tone curves are those of dots that grow a
// little (53 to 56 % for 50 %), at 2 they shrink, which dots do not. The tests hold it. Unchecked on cloth.
const Gain = 1.5

// Light is reflectance in the model's three channels, 0..1, as its root light^(1/Gain): what dots lying side by side
// mix in. Coverages of tone are areas in the sense of Yule and Nielsen with this n (tone.AreaYuleNielsen), so the
// optical part of a gain is here and only the growth of the dots in the tone curves. What an eye averages from afar is
// XYZ, not this.
type Light [3]float64

// toChannels and fromChannels are the one place where the channel basis is chosen: the ACES AP1
// primaries, adapted to D50. They lie close to the spectrum, so each channel sees a narrow band, in which an ink acts
// alike whatever lies under it.
//
// Source: primaries of SMPTE/AMPAS S-2014-004 (AP1), Bradford to the ICC white, rounded to 4 decimals of XYZ (the
// rounding defines the basis). Ours: measured against others on all patches of FOGRA39L at this Gain, mean and 95th
// percentile CIEDE2000: AP1 1.58 / 3.36, Rec. 2020 1.76 / 3.68, 31 spectral bands 2.07 / 4.97, sharpened Bradford cones
// 3.02 / 10.3, ROMM RGB 3.25 / 9.43, XYZ 3.97 / 11.5. A basis fitted to a quarter of the patches gives the rest 1.21,
// but it is those four inks' own. The tests hold the first.
func toChannels(x color.XYZ) [3]float64 {
	return [3]float64{
		float64(1.5889891373*x.X) + float64(-0.3400051553*x.Y) + float64(-0.2328716719*x.Z),
		float64(-0.6708384973*x.X) + float64(1.6341407842*x.Y) + float64(0.0153734285*x.Z),
		float64(0.0146671430*x.X) + float64(-0.0105309088*x.Y) + float64(1.2078758284*x.Z),
	}
}

// fromChannels is the inverse, rows X, Y, Z.
func fromChannels() [3][3]float64 {
	return [3][3]float64{
		{0.6890, 0.1442, 0.1310},
		{0.2829, 0.6711, 0.0460},
		{-0.0059, 0.0041, 0.82671},
	}
}

// LightOf gives the channels of a colour.
func LightOf(c color.Lab) Light {
	l := toChannels(c.XYZ())
	for i, v := range l {
		l[i] = root(v)
	}
	return l
}

// XYZ gives the tristimulus value of l.
func (l Light) XYZ() color.XYZ {
	m := fromChannels()
	a, b, c := unroot(l[0]), unroot(l[1]), unroot(l[2])
	return color.XYZ{
		X: float64(m[0][0]*a) + float64(m[0][1]*b) + float64(m[0][2]*c),
		Y: float64(m[1][0]*a) + float64(m[1][1]*b) + float64(m[1][2]*c),
		Z: float64(m[2][0]*a) + float64(m[2][1]*b) + float64(m[2][2]*c),
	}
}

// Lab gives the colour of l.
func (l Light) Lab() color.Lab { return l.XYZ().Lab() }

// root is v^(2/3). A channel may fall below 0 for colours outside the primaries: it keeps its sign.
func root(v float64) float64 {
	r := math.Cbrt(v)
	return math.Copysign(r*r, v)
}

// unroot is v^(3/2), its inverse: a product and a square root, both rounded once.
func unroot(v float64) float64 { return v * math.Sqrt(math.Abs(v)) }
