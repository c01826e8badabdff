package halftone

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"testing"
)

// gridCases are 200 screens all over the range a shop may ask for: rulings, angles and devices' resolutions, equal and
// not, whole numbers and those that a scale correction leaves.
func gridCases() []Spec {
	dpi := [][2]float64{{300, 300}, {360, 360}, {600, 600}, {720, 720}, {1200, 1200}, {1440, 720}, {720, 1440},
		{1440, 1440}, {2400, 1200}, {2540, 2540}, {2880, 1440}, {5080, 5080}, {1444.464, 719.064}, {604.2, 597.7}}
	lpi := []float64{15, 20, 25, 30, 33.3, 35, 42.5, 45, 50, 55, 60, 65, 75, 85, 100, 120}
	angles := []float64{0, 7.5, 15, 18.435, 22.5, 30, 37, 45, 52.5, 61, 75, 82.5, 90, 105, 135, 167.5, -22.5}
	r := rand.New(rand.NewPCG(11, 12))
	var cases []Spec
	for len(cases) < 200 {
		d := dpi[len(cases)%len(dpi)]
		s := Spec{Kind: AM, FreqLPI: lpi[r.IntN(len(lpi))], AngleDeg: angles[r.IntN(len(angles))], XDPI: d[0], YDPI: d[1]}
		if len(cases)%3 == 0 {
			s.FreqLPI, s.AngleDeg = 15+105*r.Float64(), 360*r.Float64() // and any others
		}
		if s.FreqLPI <= min(d[0], d[1])/4 {
			cases = append(cases, s)
		}
	}
	return cases
}

// blocks screens a flat tone, 0..1, and sums the ink in n x n blocks of bx by by device pixels.
func blocks(s *Screen, tone float64, n, bx, by int) []float64 {
	words := (n*bx + 63) / 64
	level := make([]byte, words*128)
	for i := 0; i < len(level); i += 2 {
		binary.LittleEndian.PutUint16(level[i:], uint16(math.Round(tone*1020)))
	}
	out, row := make([]float64, n*n), make([]uint64, words)
	for y := range n * by {
		s.Row(row, level, level, 0, 0, y)
		for x := range n {
			out[y/by*n+x] += float64(inkBetween(row, x*bx, (x+1)*bx))
		}
	}
	return out
}

// inkBetween counts the set bits of a row from pixel from to pixel to.
func inkBetween(row []uint64, from, to int) int {
	ink := 0
	for from < to {
		end := min(to, from|63+1)
		word := row[from>>6] >> (from & 63)
		if width := end - from; width < 64 {
			word &= 1<<width - 1
		}
		ink += bits.OnesCount64(word)
		from = end
	}
	return ink
}

// measured finds both frequency vectors of a screen's flat tone by the Fourier transform: the strongest peaks within a
// tenth of where the specification has them. The window is a Gaussian, whose transform is one too, so that three
// neighbouring values give a peak's place between them.
func measured(s *Screen, n int) (lpi, angleDeg float64) {
	spec := s.Spec
	bx, by := max(1, int(spec.XDPI/spec.FreqLPI/6)), max(1, int(spec.YDPI/spec.FreqLPI/6))
	p := power(blocks(s, 0.2, n, bx, by), n, func(x int) float64 {
		d := (float64(x) - float64(n)/2) / (float64(n) / 7)
		return math.Exp(-d * d / 2)
	})
	// Lines per inch a step of the spectrum.
	perX, perY := spec.XDPI/float64(bx)/float64(n), spec.YDPI/float64(by)/float64(n)
	sin, cos := math.Sincos(spec.AngleDeg * math.Pi / 180)
	wantX, wantY := spec.FreqLPI*cos/perX, -spec.FreqLPI*sin/perY // rows run down
	best, most := [2]int{}, -1.0
	reach := int(0.1*max(math.Abs(wantX), math.Abs(wantY))) + 2
	at := func(x, y int) float64 { return p[mod(y, n)*n+mod(x, n)] }
	for y := int(math.Round(wantY)) - reach; y <= int(math.Round(wantY))+reach; y++ {
		for x := int(math.Round(wantX)) - reach; x <= int(math.Round(wantX))+reach; x++ {
			if at(x, y) > most {
				best, most = [2]int{x, y}, at(x, y)
			}
		}
	}
	x, y := best[0], best[1]
	fx := (float64(x) + between(at(x-1, y), most, at(x+1, y))) * perX
	fy := (float64(y) + between(at(x, y-1), most, at(x, y+1))) * perY
	return math.Hypot(fx, fy), math.Atan2(-fy, fx) * 180 / math.Pi
}

// between is where a Gaussian peak lies, in steps from the largest of three values.
func between(before, at, after float64) float64 {
	a, b, c := math.Log(before), math.Log(at), math.Log(after)
	return (a - c) / (2 * (a - 2*b + c))
}

// TestRulingAndAngleOverAGridOf200 measures every screen by FFT: against what the screen reports, and what it reports
// against what was asked. It prints the worst of each resolution.
func TestRulingAndAngleOverAGridOf200(t *testing.T) {
	type errors struct {
		ruling, angle, saidRuling, saidAngle float64
		cases, largest                       int
	}
	byDPI := map[string]*errors{}
	var names []string
	for _, spec := range gridCases() {
		s := mustNew(t, spec)
		size := 256
		if spec.FreqLPI > min(spec.XDPI, spec.YDPI)/12 {
			size = 1024 // some ten pixels a cell: harmonics of the dot fold back beside the peak, and a longer look parts them
		}
		lpi, angle := measured(s, size)
		name := fmt.Sprintf("%g x %g", spec.XDPI, spec.YDPI)
		e := byDPI[name]
		if e == nil {
			e = &errors{}
			byDPI[name], names = e, append(names, name)
		}
		ruling, turn := math.Abs(lpi/s.ActualLPI-1), math.Abs(math.Remainder(angle-s.ActualAngleDeg, 360))
		saidRuling, saidTurn := math.Abs(s.ActualLPI/spec.FreqLPI-1), math.Abs(s.ActualAngleDeg-spec.AngleDeg)
		if ruling > maxRulingError || turn > maxAngleErrorDeg || saidRuling > maxRulingError || saidTurn > maxAngleErrorDeg {
			t.Errorf("%s dpi, %g lpi at %g: says %.4f at %.4f, measured %.4f at %.4f (tolerance 0.1 %%, 0.02 degrees)", name,
				spec.FreqLPI, spec.AngleDeg, s.ActualLPI, s.ActualAngleDeg, lpi, angle)
		}
		*e = errors{max(e.ruling, ruling), max(e.angle, turn), max(e.saidRuling, saidRuling), max(e.saidAngle, saidTurn),
			e.cases + 1, max(e.largest, s.strip.size())}
	}
	t.Log("dpi: worst of measured against stated, and stated against asked: ruling %, angle degrees")
	for _, name := range names {
		e := byDPI[name]
		t.Logf("%-18s %2d cases: %.4f %% %.4f deg, %.4f %% %.4f deg; largest supercell %d px", name, e.cases, 100*e.ruling,
			e.angle, 100*e.saidRuling, e.saidAngle, e.largest)
	}
}
