package ink

import "tamis/pkg/color"

// Light is reflectance in the model's three channels, 0..1.
type Light [3]float64

// toChannels and fromChannels are the one place where the channel basis is chosen: linear light in the ACES AP1
// primaries, adapted to D50. They lie close to the spectrum, so each channel sees a narrow band, in which an ink acts
// alike whatever lies under it.
//
// Source: primaries of SMPTE/AMPAS S-2014-004 (AP1), Bradford to the ICC white, rounded to 4 decimals of XYZ (the
// rounding defines the basis). Ours: measured against others on the solid overprints of FOGRA39L, mean and worst
// CIEDE2000: AP1 3.1 / 6.5, Rec. 2020 3.3 / 6.7, ROMM RGB 6.1 / 17.7, sharpened Bradford cones 6.3 / 19.5; the test
// holds the first.
func toChannels(x color.XYZ) Light {
	return Light{
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
func LightOf(c color.Lab) Light { return toChannels(c.XYZ()) }

// XYZ gives the tristimulus value of l.
func (l Light) XYZ() color.XYZ {
	m := fromChannels()
	return color.XYZ{X: dot(m[0], l), Y: dot(m[1], l), Z: dot(m[2], l)}
}

// Lab gives the colour of l.
func (l Light) Lab() color.Lab { return l.XYZ().Lab() }

func dot(m [3]float64, l Light) float64 {
	return float64(m[0]*l[0]) + float64(m[1]*l[1]) + float64(m[2]*l[2])
}
