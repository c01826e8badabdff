package ink

import "tamis/pkg/color"

// Light is reflectance in the model's three channels, 0..1.
type Light [3]float64

// toChannels and fromChannels are the one place where the channel basis is chosen: linear ROMM RGB, whose primaries
// enclose nearly every surface colour, so that no channel goes negative and bands of the spectrum mix little.
//
// Source: ISO 22028-2 (ROMM RGB) primaries under D50. The test compares the choice with plain XYZ on FOGRA39L.
func toChannels(x color.XYZ) Light {
	return Light{
		float64(1.3459433*x.X) + float64(-0.2556075*x.Y) + float64(-0.0511118*x.Z),
		float64(-0.5445989*x.X) + float64(1.5081673*x.Y) + float64(0.0205351*x.Z),
		float64(1.2118128 * x.Z),
	}
}

// fromChannels is the inverse, rows X, Y, Z.
func fromChannels() [3][3]float64 {
	return [3][3]float64{
		{0.7976749, 0.1351917, 0.0313534},
		{0.2880402, 0.7118741, 0.0000857},
		{0, 0, 0.8252100},
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
