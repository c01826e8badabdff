package produce_test

import (
	"math"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/plan"
)

// This is the print model a second time, from its sources and without its code: channels reckoned from the primaries,
// roots of light by math.Pow, and the sum over all 2^n overprints. CIEDE2000 alone is shared; published pairs hold it.

type vec [3]float64

type mat [3]vec

func (m mat) times(v vec) (out vec) {
	for i := range 3 {
		out[i] = m[i][0]*v[0] + m[i][1]*v[1] + m[i][2]*v[2]
	}
	return out
}

func (m mat) by(n mat) (out mat) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[i][j] += m[i][k] * n[k][j]
			}
		}
	}
	return out
}

func (m mat) inverse() (out mat) {
	at := func(i, j int) float64 { return m[(i+3)%3][(j+3)%3] }
	det := 0.0
	for j := range 3 {
		det += m[0][j] * (at(1, j+1)*at(2, j+2) - at(1, j+2)*at(2, j+1))
	}
	for i := range 3 {
		for j := range 3 {
			out[j][i] = (at(i+1, j+1)*at(i+2, j+2) - at(i+1, j+2)*at(i+2, j+1)) / det
		}
	}
	return out
}

var loopD50 = vec{0.9642, 1, 0.82491}

// adapted is the matrix from RGB of these primaries and white, as x and y, to XYZ under D50.
//
// Source: SMPTE RP 177 (primaries to matrix); ISO 15076-1 annex E (Bradford's cones).
func adapted(primaries [3][2]float64, white [2]float64) mat {
	var m mat
	for c, p := range primaries {
		m[0][c], m[1][c], m[2][c] = p[0]/p[1], 1, (1-p[0]-p[1])/p[1]
	}
	w := vec{white[0] / white[1], 1, (1 - white[0] - white[1]) / white[1]}
	scale := m.inverse().times(w)
	cones := mat{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}
	from, to := cones.times(w), cones.times(loopD50)
	var gain mat
	for i := range 3 {
		gain[i][i] = to[i] / from[i]
		for c := range 3 {
			m[i][c] *= scale[c]
		}
	}
	return cones.inverse().by(gain).by(cones).by(m)
}

// loopModel holds the two colour spaces and the n of Yule and Nielsen.
type loopModel struct{ toAP1, fromAP1, fromSRGB mat }

const loopN = 1.5

func newLoopModel() loopModel {
	ap1 := adapted([3][2]float64{{0.713, 0.293}, {0.165, 0.830}, {0.128, 0.044}}, [2]float64{0.32168, 0.33767})
	srgb := adapted([3][2]float64{{0.64, 0.33}, {0.30, 0.60}, {0.15, 0.06}}, [2]float64{0.3127, 0.3290})
	return loopModel{ap1.inverse(), ap1, srgb}
}

func power(v, p float64) float64 { return math.Copysign(math.Pow(math.Abs(v), p), v) }

// roots gives the channels of an XYZ colour.
func (m loopModel) roots(xyz vec) vec {
	v := m.toAP1.times(xyz)
	return vec{power(v[0], 1/loopN), power(v[1], 1/loopN), power(v[2], 1/loopN)}
}

// lab gives the colour of channels.
func (m loopModel) lab(v vec) color.Lab {
	xyz := m.fromAP1.times(vec{power(v[0], loopN), power(v[1], loopN), power(v[2], loopN)})
	f := func(i int) float64 {
		if t := xyz[i] / loopD50[i]; t > 216.0/24389 {
			return math.Cbrt(t)
		} else {
			return (24389.0/27*t + 16) / 116
		}
	}
	return color.Lab{L: 116*f(1) - 16, A: 500 * (f(0) - f(1)), B: 200 * (f(1) - f(2))}
}

// fromLab gives the channels of a measured colour.
func (m loopModel) fromLab(c color.Lab) vec {
	y := (c.L + 16) / 116
	f := vec{y + c.A/500, y, y - c.B/200}
	var xyz vec
	for i, v := range f {
		if xyz[i] = v * v * v; xyz[i] <= 216.0/24389 {
			xyz[i] = (116*v - 16) * 27 / 24389
		}
		xyz[i] *= loopD50[i]
	}
	return m.roots(xyz)
}

// fromCodes gives the channels of sRGB codes, 0..255 and between.
func (m loopModel) fromCodes(c vec) vec {
	for i := range c {
		if v := c[i] / 255; v <= 0.04045 {
			c[i] = v / 12.92
		} else {
			c[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return m.roots(m.fromSRGB.times(c))
}

// overprints are the solids of all sets of inks on the garment, first plate first: bit i of a set is plate i.
func (m loopModel) overprints(p *plan.Plan, garment vec) []vec {
	white, black := m.fromLab(color.Lab{L: 95, B: -2}), m.fromLab(color.Lab{L: 10})
	out := make([]vec, 1<<len(p.Recipe.Plates))
	for set := range out {
		e := garment
		for i, plate := range p.Recipe.Plates {
			if set>>i&1 == 0 {
				continue
			}
			w, k := m.fromLab(plate.Ink.OverWhite), m.fromLab(plate.Ink.OverBlack)
			for c := range 3 {
				e[c] = k[c] + (w[c]-k[c])*(e[c]-black[c])/(white[c]-black[c])
			}
		}
		out[set] = e
	}
	return out
}

// demichelSum is the mean of the overprints, each by its chance.
func demichelSum(overprints []vec, cov []float64) (sum vec) {
	for set, o := range overprints {
		w := 1.0
		for i, a := range cov {
			if set>>i&1 != 0 {
				w *= a
			} else {
				w *= 1 - a
			}
		}
		for c := range 3 {
			sum[c] += w * o[c]
		}
	}
	return sum
}

// loopPicture is a picture on the grid: channels, and how much each cell counts.
type loopPicture struct {
	grid   loopGrid
	light  [3][]float64
	weight []float64
}

// printed predicts the print from the films' bits. Halftones are low-passed, given the press's known gain and overlap
// at random; jobs without any are the light of their device pixels, low-passed.
func (g loopGrid) printed(p *plan.Plan, films []loopFilm) loopPicture {
	m := newLoopModel()
	garment := m.fromCodes(codesOf(p.Input.Order.Garment.Color))
	overprints := m.overprints(p, garment)
	tints := false
	for _, plate := range p.Doc.Plates {
		tints = tints || plate.Halftone != nil
	}
	out := loopPicture{grid: g}
	if !tints {
		for c := range 3 {
			out.light[c] = g.lowPassed(g.cells(films[0].width, films[0].height, func(i int) float64 {
				set := 0
				for k, f := range films {
					set |= int(f.ink[i]) << k
				}
				return overprints[set][c]
			}))
		}
		return out
	}
	planes := g.planes(films)
	for k, plane := range planes {
		planes[k] = g.lowPassed(plane)
		for i, v := range planes[k] {
			if p.Doc.Plates[k].Halftone != nil {
				planes[k][i] = p.Gains[k].At(v)
			}
		}
	}
	cov := make([]float64, len(planes))
	for i := range g.width * g.height {
		for k := range planes {
			cov[k] = planes[k][i]
		}
		l := demichelSum(overprints, cov)
		for c := range 3 {
			out.light[c] = append(out.light[c], l[c])
		}
	}
	return out
}

// codesOf reads "#rrggbb".
func codesOf(hex string) (c vec) {
	rgb, err := color.ParseHex(hex)
	if err != nil {
		panic(err)
	}
	return vec{float64(rgb.R), float64(rgb.G), float64(rgb.B)}
}

// seen is the art laid over the garment in sRGB codes, low-passed as the print is; its pixels count by their alpha.
func (g loopGrid) seen(art *artwork.Image, garment string) loopPicture {
	m, under := newLoopModel(), codesOf(garment)
	light := make([]vec, art.Width*art.Height)
	for i := range light {
		p := art.Pix[4*i : 4*i+4]
		a := float64(p[3]) / 255
		var c vec
		for k := range 3 {
			c[k] = float64(p[k])*a + under[k]*(1-a)
		}
		light[i] = m.fromCodes(c)
	}
	out := loopPicture{grid: g}
	for c := range 3 {
		plane := make([]float64, len(light))
		for i, l := range light {
			plane[i] = l[c]
		}
		out.light[c] = g.lowPassed(plane)
	}
	for i := range light {
		out.weight = append(out.weight, float64(art.Pix[4*i+3]))
	}
	return out
}

func (p loopPicture) lab(m loopModel, i int) color.Lab {
	return m.lab(vec{p.light[0][i], p.light[1][i], p.light[2][i]})
}

// difference is the mean CIEDE2000 to a print over what counts.
func (p loopPicture) difference(print loopPicture) float64 {
	m := newLoopModel()
	sum, total := 0.0, 0.0
	for i, w := range p.weight {
		if w > 0 {
			sum += w * color.DeltaE00(p.lab(m, i), print.lab(m, i))
			total += w
		}
	}
	return sum / total
}
