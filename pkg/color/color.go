// Package color holds the colour arithmetic of Tamis: CIE XYZ and CIELAB under D50, sRGB, OKLab and CIEDE2000.
//
// What goes in and comes out are small values; nothing allocates, nothing is stored. Lab and XYZ are relative to the
// ICC profile connection white (0.9642, 1, 0.82491); sRGB is adapted to it by Bradford's matrix. OKLab serves
// distances in clustering, CIEDE2000 what is reported, linear light all mixing.
//
// It knows nothing of inks, pictures or ICC profiles (artwork reads those).
//
// Sources: IEC 61966-2-1 (sRGB), ISO/CIE 11664-4 (CIELAB), ISO/CIE 11664-6 (CIEDE2000), ISO 15076-1 (D50 white),
// B. Ottosson, "A perceptual color space for image processing" (2020).
package color

import "math"

// XYZ is a tristimulus value relative to D50, Y of the white = 1.
type XYZ struct{ X, Y, Z float64 }

// Lab is CIELAB under D50, 2 degree observer: L 0..100.
type Lab struct{ L, A, B float64 }

// White is the ICC profile connection white, ISO 15076-1: 0000f6d6 00010000 0000d32d in a profile's header.
var white = XYZ{0.9642, 1, 0.82491}

// The two constants of CIELAB as exact fractions. Source: CIE 15; ISO/CIE 11664-4.
const (
	labEpsilon = 216.0 / 24389
	labKappa   = 24389.0 / 27
)

// Lab gives the CIELAB of x. Negative values continue along the straight part.
func (x XYZ) Lab() Lab {
	fx, fy, fz := labF(x.X/white.X), labF(x.Y/white.Y), labF(x.Z/white.Z)
	return Lab{L: float64(116*fy) - 16, A: 500 * (fx - fy), B: 200 * (fy - fz)}
}

// XYZ is the inverse of XYZ.Lab.
func (c Lab) XYZ() XYZ {
	fy := (c.L + 16) / 116
	fx, fz := fy+c.A/500, fy-c.B/200
	return XYZ{white.X * labFInverse(fx), white.Y * labFInverse(fy), white.Z * labFInverse(fz)}
}

// Chroma is C*ab.
func (c Lab) Chroma() float64 { return math.Hypot(c.A, c.B) }

func labF(t float64) float64 {
	if t > labEpsilon {
		return math.Cbrt(t)
	}
	return (float64(labKappa*t) + 16) / 116
}

func labFInverse(f float64) float64 {
	if cube := f * f * f; cube > labEpsilon {
		return cube
	}
	return (float64(116*f) - 16) / labKappa
}

// LabSlope gives the CIELAB of x and, per channel, the derivative of CIELAB's f(X/Xn) by X (Y and Z alike):
// what solvers need of the curve. dL = 116 dY, da = 500 (dX - dY), db = 200 (dY - dZ).
func (x XYZ) LabSlope() (Lab, XYZ) {
	fx, fy, fz := labF(x.X/white.X), labF(x.Y/white.Y), labF(x.Z/white.Z)
	lab := Lab{L: float64(116*fy) - 16, A: 500 * (fx - fy), B: 200 * (fy - fz)}
	return lab, XYZ{labFSlope(fx) / white.X, labFSlope(fy) / white.Y, labFSlope(fz) / white.Z}
}

// labFSlope is the derivative of labF where its value is f.
func labFSlope(f float64) float64 {
	if f*f*f > labEpsilon {
		return 1 / (3 * f * f)
	}
	return labKappa / 116
}
