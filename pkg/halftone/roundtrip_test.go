package halftone

import (
	"encoding/binary"
	"math"
	"testing"

	"tamis/pkg/tone"
)

// inkOf screens a flat tone of plane steps (0..1020): n x n pixels.
func inkOf(s *Screen, step, n int) []bool {
	words := (n + 63) / 64
	level := make([]byte, words*128)
	for i := 0; i < len(level); i += 2 {
		binary.LittleEndian.PutUint16(level[i:], uint16(step))
	}
	out, row := make([]bool, n*n), make([]uint64, words)
	for y := range n {
		s.Row(row, level, level, 0, 0, y)
		for x := range n {
			out[y*n+x] = row[x>>6]>>(x&63)&1 != 0
		}
	}
	return out
}

// device is a simulated film device: it spreads every dot's edge by growthPX, and is read by a densitometer that shows
// three decimals.
type device struct {
	growthPX   float64
	dmin, dmax float64
}

// rim is how far, in pixels, growth reaches at most in the test.
const rim = 3

// inked is the share of ink the device makes of a flat tone, over n x n pixels less a rim: the edge of ink lies where
// the distance to the nearest inked pixel's centre is the growth and half a pixel; pixels it crosses count in part.
func (d device) inked(s *Screen, step, n int) float64 {
	in := inkOf(s, step, n)
	sum := 0.0
	for y := rim; y < n-rim; y++ {
		for x := rim; x < n-rim; x++ {
			if in[y*n+x] {
				sum++
				continue
			}
			nearest := math.Inf(1)
			for dy := -rim; dy <= rim; dy++ {
				for dx := -rim; dx <= rim; dx++ {
					if in[(y+dy)*n+x+dx] {
						nearest = math.Min(nearest, float64(dx*dx+dy*dy))
					}
				}
			}
			sum += min(max(d.growthPX+1-math.Sqrt(nearest), 0), 1)
		}
	}
	return sum / float64((n-2*rim)*(n-2*rim))
}

// read is the density of that, to the densitometer's last figure.
func (d device) read(area float64) float64 {
	through := (1-area)*math.Pow(10, -d.dmin) + area*math.Pow(10, -d.dmax)
	return math.Round(-math.Log10(through)*1000) / 1000
}

// TestAFilmAfterCalibrationHasTheTonesAskedFor closes the loop: a strip is made plain, read, its curve folded into the
// screen, and the next film's tones are what was asked.
func TestAFilmAfterCalibrationHasTheTonesAskedFor(t *testing.T) {
	strip := []int{0, 5, 10, 25, 40, 50, 60, 75, 90, 95, 100} // percent: the film's control strip, and the clear film
	long := []int{100}
	for percent := 0; percent < 100; percent += 5 {
		long = append(long, percent)
	}
	round := Spec{Kind: AM, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440}
	ellipse, soft := round, round
	ellipse.Dot, soft.Dot = DotEllipse, DotRoundSquare
	clusters := Spec{Kind: FM, ClusterUM: 200, XDPI: 1440, YDPI: 1440}
	d := device{dmin: 0.05, dmax: 3.6}
	for _, c := range []struct {
		spec     Spec
		growthPX float64
		strip    []int
	}{
		{round, 0.3, strip}, {ellipse, 0.3, strip}, {soft, 0.3, strip}, {clusters, 0.3, strip}, {ellipse, 0.6, strip},
		{clusters, 0.6, long}, {round, 0.6, long}, {soft, 1.2, long}, // more growth wants closer steps where dots join
	} {
		d.growthPX = c.growthPX
		s := mustNew(t, c.spec)
		n := 420
		if c.spec.Kind == FM {
			n = s.strip.width + 2*rim // one period: a piece of it has more or fewer clusters than its tone
		}
		var readings tone.Strip
		readings.Densities = true
		for _, percent := range c.strip {
			readings.Patches = append(readings.Patches, tone.Patch{Tone: float64(percent) / 100,
				Read: d.read(d.inked(s.Plain(), percent*1020/100, n))})
		}
		m, err := tone.Measure(readings)
		if err != nil {
			t.Fatal(err)
		}
		next := s.WithCurve(m.Curve.Inverse())
		worst, before := 0.0, 0.0
		for step := 51; step < 1020; step += 51 {
			asked := float64(step) / 1020
			worst = math.Max(worst, math.Abs(d.inked(next, step, n)-asked))
			before = math.Max(before, math.Abs(d.inked(s, step, n)-asked))
		}
		t.Logf("%s %-12s %3g lpi, edges grow %4.1f um, %2d steps: off by %.4f before, %.4f after; noise told %.4f",
			c.spec.Kind, s.Spec.Dot, c.spec.FreqLPI, c.growthPX*25400/1440, len(c.strip), before, worst, m.NoiseArea)
		if worst > 0.005 {
			t.Errorf("off by %.4f of area, tolerance 0.005", worst)
		}
	}
}
