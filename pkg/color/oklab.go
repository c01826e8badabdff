package color

import "math"

// OKLab is Ottosson's perceptual space: L 0..1; equal distances look about equally different.
type OKLab struct{ L, A, B float64 }

// OKLab gives the OKLab of light in sRGB primaries.
//
// Source: B. Ottosson, "A perceptual color space for image processing" (2020), the sRGB matrices.
func (l Linear) OKLab() OKLab {
	lc := math.Cbrt(float64(0.4122214708*l.R) + float64(0.5363325363*l.G) + float64(0.0514459929*l.B))
	mc := math.Cbrt(float64(0.2119034982*l.R) + float64(0.6806995451*l.G) + float64(0.1073969566*l.B))
	sc := math.Cbrt(float64(0.0883024619*l.R) + float64(0.2817188376*l.G) + float64(0.6299787005*l.B))
	return okFromCones(lc, mc, sc)
}

// OKLab gives the OKLab of an 8-bit colour.
func (c RGB8) OKLab() OKLab { return c.Linear().OKLab() }

// OKLabD65 gives the OKLab of a tristimulus value relative to D65, Y of the white = 1.
func OKLabD65(x XYZ) OKLab {
	lc := math.Cbrt(float64(0.8189330101*x.X) + float64(0.3618667424*x.Y) - float64(0.1288597137*x.Z))
	mc := math.Cbrt(float64(0.0329845436*x.X) + float64(0.9293118715*x.Y) + float64(0.0361456387*x.Z))
	sc := math.Cbrt(float64(0.0482003018*x.X) + float64(0.2643662691*x.Y) + float64(0.6338517070*x.Z))
	return okFromCones(lc, mc, sc)
}

func okFromCones(l, m, s float64) OKLab {
	return OKLab{
		float64(0.2104542553*l) + float64(0.7936177850*m) - float64(0.0040720468*s),
		float64(1.9779984951*l) - float64(2.4285922050*m) + float64(0.4505937099*s),
		float64(0.0259040371*l) + float64(0.7827717662*m) - float64(0.8086757660*s),
	}
}

// Linear is the inverse of Linear.OKLab.
func (c OKLab) Linear() Linear {
	l := cube(c.L + float64(0.3963377774*c.A) + float64(0.2158037573*c.B))
	m := cube(c.L - float64(0.1055613458*c.A) - float64(0.0638541728*c.B))
	s := cube(c.L - float64(0.0894841775*c.A) - float64(1.2914855480*c.B))
	return Linear{
		float64(4.0767416621*l) - float64(3.3077115913*m) + float64(0.2309699292*s),
		float64(-1.2684380046*l) + float64(2.6097574011*m) - float64(0.3413193965*s),
		float64(-0.0041960863*l) - float64(0.7034186147*m) + float64(1.7076147010*s),
	}
}

// Distance is the Euclidean distance of two OKLab colours; about 0.02 is a just visible step side by side.
func (c OKLab) Distance(d OKLab) float64 {
	dl, da, db := c.L-d.L, c.A-d.A, c.B-d.B
	return math.Sqrt(float64(dl*dl) + float64(da*da) + float64(db*db))
}

func cube(v float64) float64 { return v * v * v }

// Nearest finds the place of the colour in list that lies nearest to c, the first of equals, and how far it is; -1 and
// +Inf for an empty list.
func (c OKLab) Nearest(list []OKLab) (at int, distance float64) {
	at, distance = -1, math.Inf(1)
	for i, one := range list {
		if d := c.Distance(one); d < distance {
			at, distance = i, d
		}
	}
	return at, distance
}
