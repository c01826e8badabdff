package halftone

import (
	"encoding/binary"
	"math"
	"math/cmplx"
	"testing"
)

// pattern is one period of an FM screen's flat tone, a value a block of the screen: w x h of them, each mmX by mmY.
type pattern struct {
	w, h     int
	mmX, mmY float64
	tone     float64
	ink      []float64 // 0 or 1
}

// period prints a tone of so many 1020ths and keeps the first pixel of every block.
func period(s *Screen, step int) pattern {
	bx, by := s.Grid()
	p := pattern{w: s.strip.width / bx, h: s.strip.rows, mmX: float64(bx) * 25.4 / s.Spec.XDPI,
		mmY: float64(by) * 25.4 / s.Spec.YDPI}
	words := (s.strip.width + 63) / 64
	level := make([]byte, words*128)
	for i := 0; i < len(level); i += 2 {
		binary.LittleEndian.PutUint16(level[i:], uint16(step))
	}
	row := make([]uint64, words)
	p.ink = make([]float64, p.w*p.h)
	for y := range p.h {
		s.Row(row, level, level, 0, 0, y*by)
		for x := range p.w {
			at := x * bx
			p.ink[y*p.w+x] = float64(row[at>>6] >> (at & 63) & 1)
			p.tone += p.ink[y*p.w+x] / float64(p.w*p.h)
		}
	}
	return p
}

// cut is a piece of a pattern, round its edges, about its own mean and faded to its rim by Hann's window, so that no cut
// edge shows in its spectrum.
func (p pattern) cut(x0, y0, w, h int) pattern {
	c := p
	c.w, c.h, c.ink = w, h, make([]float64, w*h)
	for y := range h {
		for x := range w {
			v := p.ink[(y0+y)%p.h*p.w+(x0+x)%p.w]
			c.ink[y*w+x] = p.tone + (v-p.tone)*hann(x, w)*hann(y, h)
		}
	}
	return c
}

// hann is Hann's window, of mean square 1.
func hann(i, n int) float64 {
	return math.Sqrt(8.0/3) * (0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n)))
}

// periodogram is the power of every frequency, white noise of single blocks being 1; frequency (x, y) stands at
// y*w+x. Any size will do: it is a plain sum, rows first.
func (p pattern) periodogram() []float64 {
	half := transformed(p.w, p.h, func(x, y int) complex128 { return complex(p.ink[y*p.w+x]-p.tone, 0) })
	full := transformed(p.h, p.w, func(y, x int) complex128 { return half[x*p.h+y] })
	power := make([]float64, p.w*p.h)
	for i, v := range full { // full is by rows of h again, turned twice
		power[i] = (real(v)*real(v) + imag(v)*imag(v)) / float64(p.w*p.h) / (p.tone * (1 - p.tone))
	}
	return power
}

// transformed is the Fourier transform of each of lines rows of n values; frequency k of row y stands at k*lines+y.
func transformed(n, lines int, at func(x, y int) complex128) []complex128 {
	turn := make([]complex128, n)
	for i := range turn {
		turn[i] = cmplx.Rect(1, -2*math.Pi*float64(i)/float64(n))
	}
	out, row := make([]complex128, n*lines), make([]complex128, n)
	for y := range lines {
		for x := range row {
			row[x] = at(x, y)
		}
		for k := range n {
			var sum complex128
			place := 0
			for _, v := range row {
				sum += v * turn[place]
				if place += k; place >= n {
					place -= n
				}
			}
			out[k*lines+y] = sum
		}
	}
	return out
}

// wave is one frequency of a spectrum, cycles a millimetre, its direction, 0..pi, and its power.
type wave struct{ freq, angle, power float64 }

// waves lists the frequencies of a spectrum but the mean.
func (p pattern) waves(power []float64) []wave {
	waves := make([]wave, 0, len(power))
	for y := range p.h {
		for x := range p.w {
			fx := (float64(x) - float64(2*x/p.w*p.w)) / (float64(p.w) * p.mmX)
			fy := (float64(y) - float64(2*y/p.h*p.h)) / (float64(p.h) * p.mmY)
			if x+y > 0 {
				angle := math.Mod(math.Atan2(fy, fx)+2*math.Pi, math.Pi)
				waves = append(waves, wave{math.Hypot(fx, fy), angle, power[y*p.w+x]})
			}
		}
	}
	return waves
}

// rings puts the frequencies into rings each width wide; those that only the corners of the spectrum have are left out.
func (p pattern) rings(power []float64, width float64) [][]wave {
	rings := make([][]wave, int(0.5/math.Max(p.mmX, p.mmY)/width))
	for _, v := range p.waves(power) {
		if i := int(v.freq / width); i < len(rings) {
			rings[i] = append(rings[i], v)
		}
	}
	return rings
}

// below is the mean power of frequencies up to a limit.
func (p pattern) below(power []float64, limit float64) float64 {
	sum, count := 0.0, 0
	for _, v := range p.waves(power) {
		if v.freq <= limit {
			sum, count = sum+v.power, count+1
		}
	}
	return sum / float64(count)
}

// peak is the ring with the most power on average: its middle and its power.
func (p pattern) peak(power []float64, width float64) (freq, most float64) {
	for i, r := range p.rings(power, width) {
		sum := 0.0
		for _, v := range r {
			sum += v.power
		}
		if mean := sum / float64(len(r)); len(r) > 0 && mean > most {
			freq, most = (float64(i)+0.5)*width, mean
		}
	}
	return freq, most
}

// anisotropy is the worst, over the rings from..to, of the variance of power along a ring over the square of its mean,
// in decibels: 0 for one periodogram of a pattern without direction, -10 for the mean of ten, -12 of sixteen. Pieces a
// quarter of the period wide, each half over the next, have their periodograms averaged: the worth of some sixteen.
//
// Source: R. Ulichney, Digital Halftoning (1987), 3.2; P. D. Welch, IEEE Trans. Audio Electroacoust. 15 (1967) for the
// averaging.
func (p pattern) anisotropy(from, to float64) float64 {
	w, h := p.w/4, p.h/4
	mean := make([]float64, w*h)
	var piece pattern
	for y := range 8 {
		for x := range 8 {
			piece = p.cut(x*p.w/8, y*p.h/8, w, h)
			for i, v := range piece.periodogram() {
				mean[i] += v / 64
			}
		}
	}
	width := 1 / (math.Min(float64(w)*p.mmX, float64(h)*p.mmY))
	worst := math.Inf(-1)
	for i, r := range piece.rings(mean, width) {
		if middle := (float64(i) + 0.5) * width; middle < from || middle > to || len(r) < 8 {
			continue
		}
		sum, squares := 0.0, 0.0
		for _, v := range r {
			sum += v.power / float64(len(r))
		}
		for _, v := range r {
			squares += (v.power - sum) * (v.power - sum) / float64(len(r)-1)
		}
		worst = math.Max(worst, 10*math.Log10(squares/(sum*sum)))
	}
	return worst
}

// leaning is how unevenly the power of frequencies from..to is shared among 18 directions: its variance over its mean
// squared, in decibels. Where all power lies in a narrow ring, it changes too fast across a ring of a small piece for
// anisotropy; this takes the whole period's spectrum. Ours; no direction at all gives some -13.
func (p pattern) leaning(power []float64, from, to float64) float64 {
	const sectors = 18
	var sum [sectors]float64
	mean := 0.0
	for _, v := range p.waves(power) {
		if v.freq >= from && v.freq <= to {
			sum[min(int(v.angle/math.Pi*sectors), sectors-1)] += v.power
			mean += v.power / sectors
		}
	}
	squares := 0.0
	for _, v := range sum {
		squares += (v - mean) * (v - mean) / (sectors - 1)
	}
	return 10 * math.Log10(squares/(mean*mean))
}

const (
	mostLowPower   = 0.15 // white noise has 1. Ours: plain void and cluster has 0.06 to 0.08 for tones up to a quarter
	mostAnisotropy = -5.0 // decibels, where no direction at all gives some -12
)

// TestScatteredDotsAreBlueNoise prints the spectrum's figures by tone, for dots as wide as high and not, at equal and
// unequal resolutions: by distances on film.
//
// Source: R. Ulichney, Proc. IEEE 76 (1988) 56-79: a peak at the principal frequency sqrt(g) a dot's side, hardly any
// power below it, none of it in a direction.
func TestScatteredDotsAreBlueNoise(t *testing.T) {
	for _, spec := range []Spec{{Kind: FM, DotUM: 70, XDPI: 1440, YDPI: 720}, {Kind: FM, DotUM: 80, XDPI: 2540, YDPI: 2540},
		{Kind: FM, DotUM: 90, XDPI: 720, YDPI: 1440}, {Kind: FM, DotUM: 100, XDPI: 600, YDPI: 400},
		{Kind: FM, DotUM: 60, XDPI: 600, YDPI: 720}} {
		s := mustNew(t, spec)
		for _, step := range []int{32, 64, 128, 255, 765, 892, 956} {
			p := period(s, step)
			minority := math.Min(p.tone, 1-p.tone)
			principal := math.Sqrt(minority / (p.mmX * p.mmY))
			power := p.periodogram()
			low := p.below(power, principal/2)
			freq, most := p.peak(power, principal/6)
			turn := p.anisotropy(principal/2, math.Inf(1))
			shows := principal < 0.45/math.Max(p.mmX, p.mmY) // else oblong dots cannot lie so close the long way
			t.Logf("%4g x %-4g dots %5.1f x %5.1f um, tone %.3f: principal %5.2f c/mm, peak %4.2f of that with power %.2f, "+
				"%.3f below half of it, anisotropy %5.1f dB", spec.XDPI, spec.YDPI, s.DotXUM, s.DotYUM, p.tone, principal,
				freq/principal, most, low, turn)
			if low > mostLowPower || turn > mostAnisotropy || (shows && (math.Abs(freq/principal-1) > 0.25 || most < 1)) {
				t.Errorf("power below half the principal frequency %.3f (at most %g), peak at %.2f of it (tolerance 0.25), "+
					"anisotropy %.1f dB (at most %g)", low, mostLowPower, freq/principal, turn, mostAnisotropy)
			}
		}
	}
}

// TestClustersAreGreenNoise prints the same for clusters: the principal frequency is that of the clusters, whose size
// is what was asked, and power is told in that of clusters scattered at random.
//
// Source: D. L. Lau, G. R. Arce, N. C. Gallagher, Proc. IEEE 86 (1998) 2424-2444: sqrt(g / M), M the mean area of a
// cluster.
func TestClustersAreGreenNoise(t *testing.T) {
	for _, spec := range []Spec{{Kind: FM, ClusterUM: 200, XDPI: 1440, YDPI: 720},
		{Kind: FM, ClusterUM: 150, XDPI: 720, YDPI: 720}, {Kind: FM, ClusterUM: 300, XDPI: 600, YDPI: 400}} {
		s := mustNew(t, spec)
		for _, step := range []int{41, 82, 143, 255, 408, 510, 612, 765, 877, 938, 979} {
			p := period(s, step)
			minority, ink := math.Min(p.tone, 1-p.tone), 1.0
			if p.tone > 0.5 {
				ink = 0
			}
			pieces := piecesOf(p.w, p.h, func(at int) bool { return p.ink[at] == ink })
			area := minority * float64(p.w*p.h) / float64(len(pieces)) * p.mmX * p.mmY
			size := 2000 * math.Sqrt(area/math.Pi)
			principal := math.Sqrt(minority / area)
			if minority > 0.2 { // clusters have grown together to worms, half a wave wide
				principal = greenCluster / greenWave * 1000 / spec.ClusterUM
			}
			power := p.periodogram()
			low := p.below(power, principal/2) * p.mmX * p.mmY / (math.Pi / 4 * spec.ClusterUM * spec.ClusterUM / 1e6)
			freq, most := p.peak(power, principal/5)
			turn := p.leaning(power, principal/2, 1.5*principal)
			t.Logf("%4g x %-4g clusters of %g um, tone %.3f: %3d pieces of %4.0f um, principal %4.2f c/mm, "+
				"peak at %4.2f of that with power %4.1f, %.3f below half of it, anisotropy %5.1f dB",
				spec.XDPI, spec.YDPI, spec.ClusterUM, p.tone, len(pieces), size,
				principal, freq/principal, most, low, turn)
			beyond := 1.25
			if ink == 0 && minority < 0.12 {
				beyond = 1.6 // the holes left are some of those of 15 %, whose ring stays
			}
			if low > mostLowPower || turn > mostAnisotropy || freq/principal < 0.75 || freq/principal > beyond {
				t.Errorf("power below half the principal frequency %.3f (at most %g), peak at %.2f of it (0.75 to "+
					"%g), anisotropy %.1f dB (at most %g)", low, mostLowPower, freq/principal, beyond, turn, mostAnisotropy)
			}
			if minority < 0.15 && ink == 1 && math.Abs(size/spec.ClusterUM-1) > 0.1 {
				t.Errorf("clusters of %.0f um; %g were asked for (tolerance 10 %%)", size, spec.ClusterUM)
			}
		}
	}
}
