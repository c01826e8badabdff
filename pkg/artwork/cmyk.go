package artwork

import "tamis/pkg/color"

// coatedCMYK converts untagged CMYK as coated offset print: Neugebauer on the 16 overprints of FOGRA39, dots grown by
// the usual tone value increase, paper as white and the darkest overprint as black.
//
// Source: characterisation data FOGRA39L (Debian package icc-profiles-free, zlib licence), the 16 solids. Neugebauer
// with n = 1 is right to a mean CIEDE2000 of about 2 on the whole set, ample for files that name no profile.
func coatedCMYK() converter {
	solids := coatedSolids()
	paper, dark := solids[0], solids[15].Y/solids[0].Y
	return func(in, out *[4]float64) {
		sum := color.XYZ{}
		for i, s := range solids {
			w := demichel(in, i)
			sum.X += float64(w * s.X)
			sum.Y += float64(w * s.Y)
			sum.Z += float64(w * s.Z)
		}
		white := color.Lab{L: 100}.XYZ()
		fit := func(v, paper, white float64) float64 { return (v/paper - dark) / (1 - dark) * white }
		x := color.XYZ{
			X: fit(sum.X, paper.X, white.X),
			Y: fit(sum.Y, paper.Y, white.Y),
			Z: fit(sum.Z, paper.Z, white.Z),
		}
		l := x.Linear()
		out[0], out[1], out[2] = color.Encode(l.R), color.Encode(l.G), color.Encode(l.B)
	}
}

// demichel is the share of the overprint whose bits 3..0 say C, M, Y, K, for dots that overlap at random.
func demichel(in *[4]float64, bits int) float64 {
	w := 1.0
	for c := range 4 {
		a := in[c] + float64(0.5*in[c]*(1-in[c])) // 12.5 points at 50 %, as the set's ramps show
		if bits>>(3-c)&1 == 0 {
			a = 1 - a
		}
		w *= a
	}
	return w
}

// coatedSolids are X, Y, Z x 100 of the overprints, index bits C M Y K from the high end.
func coatedSolids() [16]color.XYZ {
	return [16]color.XYZ{
		{
			X: 84.48,
			Y: 87.62,
			Z: 74.57,
		}, {X: 2.02, Y: 2.10, Z: 1.73}, {X: 69.17, Y: 74.16, Z: 7.04}, {X: 1.84, Y: 2.04, Z: 0.82},
		{
			X: 33.03,
			Y: 16.79,
			Z: 15.01,
		}, {X: 1.61, Y: 1.18, Z: 0.89}, {X: 30.20, Y: 16.02, Z: 2.30}, {X: 1.56, Y: 1.31, Z: 0.65},
		{
			X: 15.02,
			Y: 22.93,
			Z: 52.85,
		}, {X: 0.91, Y: 1.18, Z: 1.79}, {X: 8.16, Y: 18.42, Z: 6.74}, {X: 0.89, Y: 1.31, Z: 0.85},
		{
			X: 5.67,
			Y: 4.10,
			Z: 15.67,
		}, {X: 0.99, Y: 0.87, Z: 1.08}, {X: 3.66, Y: 3.80, Z: 3.13}, {X: 0.93, Y: 0.97, Z: 0.69},
	}
}
