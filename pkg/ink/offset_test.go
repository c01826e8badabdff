package ink

import (
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tamis/pkg/color"
)

// patch is one measured patch: coverages C M Y K 0..1 and its colour.
type patch struct {
	cmyk [4]float64
	lab  color.Lab
	xyz  color.XYZ
}

// characterised reads a set of measured patches, D50 and 2 degree, from the Debian package icc-profiles-free.
func characterised(t *testing.T, set string, patches int) []patch {
	t.Helper()
	data, err := os.ReadFile("/usr/share/color/icc/" + set + ".ti3")
	if err != nil {
		t.Fatalf("characterisation data of the Debian package icc-profiles-free: %v", err)
	}
	var list []patch
	for line := range strings.Lines(string(data)) {
		f := strings.Fields(line)
		if len(f) != 11 {
			continue
		}
		var v [10]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(f[i+1], 64); err != nil {
				break
			}
		}
		if err == nil {
			xyz := color.XYZ{X: v[4] / 100, Y: v[5] / 100, Z: v[6] / 100}
			list = append(list, patch{[4]float64{v[0] / 100, v[1] / 100, v[2] / 100, v[3] / 100}, xyz.Lab(), xyz})
		}
	}
	if len(list) != patches {
		t.Fatalf("%s: %d patches read, the set has %d", set, len(list), patches)
	}
	return list
}

// channels is a space in which light is mixed: so many numbers a colour, and the way back.
type channels struct {
	name string
	to   func(color.XYZ) []float64
	from func([]float64) color.XYZ
}

// matrix is a space of three channels.
func matrix(name string, m [3][3]float64) channels {
	back := inverted(m)
	return channels{name,
		func(x color.XYZ) []float64 { v := times(m, [3]float64{x.X, x.Y, x.Z}); return v[:] },
		func(v []float64) color.XYZ {
			x := times(back, [3]float64(v))
			return color.XYZ{X: x[0], Y: x[1], Z: x[2]}
		}}
}

func times(m [3][3]float64, v [3]float64) (out [3]float64) {
	for i := range 3 {
		for j := range 3 {
			out[i] += m[i][j] * v[j]
		}
	}
	return out
}

func inverted(m [3][3]float64) (out [3][3]float64) {
	at := func(i, j int) float64 { return m[i%3][j%3] }
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

// rootOf is light^(1/n), light its inverse; what lies below 0 keeps its sign.
func rootOf(v, n float64) float64 { return math.Copysign(math.Pow(math.Abs(v), 1/n), v) }
func light(v, n float64) float64  { return math.Copysign(math.Pow(math.Abs(v), n), v) }

// press is offset as a model of it sees it: the 16 overprints, roots of light per channel, and each ink's tone curve.
type press struct {
	in     channels
	n      float64
	solids [16][]float64 // bit i is ink i of C M Y K
	curves [4][][2]float64
}

// newPress takes the overprints from find and fits the tone curves on the ramps of the single inks over paper.
func newPress(list []patch, in channels, n float64, overprints [16][]float64) *press {
	p := &press{in: in, n: n, solids: overprints}
	for i := range 4 {
		p.curves[i] = p.ramp(list, i)
	}
	return p
}

// ramp fits the printed area of each tint of one ink so that its colour is met best; kept from falling.
func (p *press) ramp(list []patch, ink int) [][2]float64 {
	curve := [][2]float64{{0, 0}, {1, 1}}
	for _, patch := range list {
		tone := patch.cmyk[ink]
		alone := patch.cmyk
		alone[ink] = 0
		if alone != [4]float64{} || tone == 0 || tone == 1 {
			continue
		}
		var area [4]float64
		lo, hi := 0.0, 1.0
		for range 40 {
			third := (hi - lo) / 3
			area[ink] = lo + third
			a := color.DeltaE00(p.mixed(area), patch.lab)
			area[ink] = hi - third
			if b := color.DeltaE00(p.mixed(area), patch.lab); a < b {
				hi -= third
			} else {
				lo += third
			}
		}
		curve = append(curve, [2]float64{tone, (lo + hi) / 2})
	}
	slices.SortFunc(curve, func(a, b [2]float64) int { return int(math.Copysign(1, a[0]-b[0])) })
	for i := 1; i < len(curve); i++ {
		curve[i][1] = max(curve[i][1], curve[i-1][1])
	}
	return curve
}

// printed is the area a tint of one ink prints as, by straight lines between the ramp's.
func (p *press) printed(ink int, tone float64) float64 {
	c := p.curves[ink]
	i, _ := slices.BinarySearchFunc(c, tone, func(e [2]float64, t float64) int { return int(math.Copysign(1, e[0]-t)) })
	i = min(max(i, 1), len(c)-1)
	lo, hi := c[i-1], c[i]
	if hi[0] <= lo[0] {
		return hi[1]
	}
	return lo[1] + (hi[1]-lo[1])*(tone-lo[0])/(hi[0]-lo[0])
}

// mixed is the Neugebauer sum over the overprints, in roots of light, weighted by Demichel.
func (p *press) mixed(area [4]float64) color.Lab {
	sum := make([]float64, len(p.solids[0]))
	for set, solid := range p.solids {
		w := 1.0
		for i, a := range area {
			if set>>i&1 != 0 {
				w *= a
			} else {
				w *= 1 - a
			}
		}
		for c, v := range solid {
			sum[c] += w * v
		}
	}
	for c, v := range sum {
		sum[c] = light(v, p.n)
	}
	return p.in.from(sum).Lab()
}

// areas are what the tints of a patch print as.
func (p *press) areas(cmyk [4]float64) (out [4]float64) {
	for i, tone := range cmyk {
		out[i] = p.printed(i, tone)
	}
	return out
}

// differences are mean and 95th percentile CIEDE2000 over all patches.
func differences(list []patch, predicted func(patch) color.Lab) (mean, p95 float64) {
	all := make([]float64, len(list))
	for i, one := range list {
		all[i] = color.DeltaE00(predicted(one), one.lab)
		mean += all[i] / float64(len(list))
	}
	slices.Sort(all)
	return mean, all[len(all)*95/100]
}

// predict is the model's colour of a patch.
func (p *press) predict(one patch) color.Lab { return p.mixed(p.areas(one.cmyk)) }

// solidsOf are the 16 measured overprints, XYZ.
func solidsOf(list []patch) (out [16]color.XYZ) {
	for _, p := range list {
		set := 0
		for i, v := range p.cmyk {
			if v == 1 {
				set |= 1 << i
			}
			if v != 0 && v != 1 {
				set |= 1 << 8
			}
		}
		if set < 16 {
			out[set] = p.xyz
		}
	}
	return out
}

// measured are the overprints as they were printed.
func measured(solids [16]color.XYZ, in channels, n float64) (out [16][]float64) {
	for set, x := range solids {
		out[set] = roots(in.to(x), n)
	}
	return out
}

func roots(v []float64, n float64) []float64 {
	out := make([]float64, len(v))
	for c := range v {
		out[c] = rootOf(v[c], n)
	}
	return out
}

// stacked are the overprints as the stack predicts them: each ink known over paper and over black alone, black printed
// first. The solid's map is affine in light^(1/inner).
func stacked(solids [16]color.XYZ, in channels, n, inner float64) (out [16][]float64) {
	const black = 1 << 3
	at := func(set int) []float64 { return roots(in.to(solids[set]), inner) }
	paper, dark := at(0), at(black)
	for set := range out {
		e := slices.Clone(paper)
		if set&black != 0 {
			e = slices.Clone(dark)
		}
		for i := range 3 {
			if set>>i&1 == 0 {
				continue
			}
			rw, rk := at(1<<i), at(1<<i|black)
			for c := range e {
				e[c] = rk[c] + (rw[c]-rk[c])*(e[c]-dark[c])/(paper[c]-dark[c])
			}
		}
		for c := range e {
			e[c] = rootOf(light(e[c], inner), n)
		}
		out[set] = e
	}
	return out
}
