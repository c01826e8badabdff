package halftone

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"tamis/pkg/tone"
)

// areaCases are screens of every kind at coarse and fine, equal and unequal resolutions.
func areaCases(t testing.TB) []Spec {
	mix := mustMix(t, MixPart{DotSimple, 0.2}, MixPart{DotSquare, 0.5}, MixPart{DotRound, 0.9})
	return []Spec{
		{Kind: AM, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440},
		{Kind: AM, FreqLPI: 65, AngleDeg: 22.5, XDPI: 600, YDPI: 600},
		{Kind: AM, FreqLPI: 45, AngleDeg: 15, XDPI: 1440, YDPI: 720, Dot: DotEllipse},
		{Kind: AM, FreqLPI: 60, AngleDeg: 45, XDPI: 300, YDPI: 300, Dot: DotRoundSquare},
		{Kind: AM, FreqLPI: 120, AngleDeg: 75, XDPI: 2540, YDPI: 2540, Dot: DotMix, Mix: mix},
		{Kind: FM, DotUM: 80, XDPI: 1440, YDPI: 720},
		{Kind: FM, DotUM: 100, XDPI: 600, YDPI: 400},
		{Kind: FM, ClusterUM: 200, XDPI: 1440, YDPI: 720},
		{Kind: FM, ClusterUM: 300, XDPI: 600, YDPI: 600},
		{Kind: Hybrid, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440, DotUM: 80},
		{Kind: Hybrid, FreqLPI: 45, AngleDeg: 15, XDPI: 1440, YDPI: 720, DotUM: 120, Dot: DotEllipse},
	}
}

// name says which screen a line of a table is of.
func (s *Spec) name() string {
	return fmt.Sprintf("%s %g lpi %g um %s %g x %g", s.Kind, s.FreqLPI, s.DotUM+s.ClusterUM, s.Dot, s.XDPI, s.YDPI)
}

// printed is the exact share of ink of tone v, 0..toneFull: the kernel's bits over one whole period of the screen.
func printed(s *Screen, v int) float64 {
	words := (s.strip.width + 63) / 64
	a, b := make([]byte, words*128), make([]byte, words*128)
	for i := 0; i < len(a); i += 2 {
		binary.LittleEndian.PutUint16(a[i:], uint16(v/32))
		binary.LittleEndian.PutUint16(b[i:], uint16(min(v/32+1, 1020)))
	}
	row, ink := make([]uint64, words), 0
	for y := range s.strip.rows {
		s.Row(row, a, b, v%32, 0, y*s.repeat)
		ink += inkBetween(row, 0, s.strip.width)
	}
	return float64(ink) / float64(s.strip.size())
}

// inkAtEvery is the share of ink of all tones 0..toneFull, from the thresholds.
func inkAtEvery(s *Screen) []float64 {
	starts := make([]int, toneFull+1) // how many entries ink first at a tone
	stride := (s.strip.width + pad) * 2
	for y := range s.strip.rows {
		for x := range s.strip.width {
			starts[0x7fff-int(binary.LittleEndian.Uint16(s.thresholds[y*stride+2*x:]))+1]++
		}
	}
	ink, share := 0, make([]float64, toneFull+1)
	for v, n := range starts {
		ink += n
		share[v] = float64(ink) / float64(s.strip.size())
	}
	return share
}

// TestPrintedAreaIsTheAskedOneAt64Tones prints, for every kind, how far the area is from the tone over one whole period.
func TestPrintedAreaIsTheAskedOneAt64Tones(t *testing.T) {
	const tolerance = 0.002 // of area
	for _, spec := range areaCases(t) {
		s := mustNew(t, spec)
		worst := 0.0
		for k := range 64 {
			v := int(math.Round(float64(k) / 63 * toneFull))
			worst = math.Max(worst, math.Abs(printed(s, v)-float64(v)/toneFull))
		}
		t.Logf("%-44s off by %.5f at most; %d tones", s.Spec.name(), worst, s.Levels)
		if worst > tolerance {
			t.Errorf("%s: off by %.5f of area, tolerance %g", s.Spec.name(), worst, tolerance)
		}
	}
}

// TestAreaNeverFallsOverAll65536Levels asks every 16-bit level, with and without a curve and limits, and holds the
// thresholds' figures against the kernel's bits at some of them.
func TestAreaNeverFallsOverAll65536Levels(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	for _, spec := range areaCases(t) {
		plain := mustNew(t, spec)
		spec.MinDot, spec.MinGap, spec.Highlights = 0.03, 0.03, Hold
		curve := tone.EdgeGrowth(55, 15).Inverse()
		bent := mustNew(t, spec).WithCurve(curve)
		for _, s := range []*Screen{plain, bent} {
			ink := inkAtEvery(s)
			last, worst := -1.0, 0.0
			for level := range 65536 {
				v := (level*toneFull + 32767) / 65535
				if ink[v] < last {
					t.Fatalf("%s: level %d prints %.5f after %.5f", s.Spec.name(), level, ink[v], last)
				}
				last = ink[v]
				want := s.Spec.Area(tone.Curve{}, float64(v)/toneFull)
				if s == bent {
					want = s.Spec.Area(curve, float64(v)/toneFull)
				}
				worst = math.Max(worst, math.Abs(ink[v]-want))
			}
			if worst > 0.002 || ink[0] != 0 || ink[toneFull] != 1 {
				t.Errorf("%s: off by %.5f of area (tolerance 0.002), from %g to %g", s.Spec.name(), worst, ink[0], ink[toneFull])
			}
			for range 12 {
				if v := r.IntN(toneFull + 1); printed(s, v) != ink[v] {
					t.Errorf("%s: tone %d prints %g, its thresholds say %g", s.Spec.name(), v, printed(s, v), ink[v])
				}
			}
		}
	}
}

// TestHybridHasNoJumpWhereItsKindsMeet measures the steps of area from tone to tone about both seams, and all over.
func TestHybridHasNoJumpWhereItsKindsMeet(t *testing.T) {
	for _, spec := range areaCases(t) {
		if spec.Kind != Hybrid {
			continue
		}
		s := mustNew(t, spec)
		ink, least := inkAtEvery(s), s.leastDot()
		step := func(from, to float64) float64 {
			most := 0.0
			for v := int(from*toneFull) + 1; v <= int(to*toneFull); v++ {
				most = math.Max(most, ink[v]-ink[v-1])
			}
			return most
		}
		seams := math.Max(step(least-0.01, least+0.01), step(1-least-0.01, 1-least+0.01))
		t.Logf("%s: seams at %.4f and %.4f; largest step there %.6f, anywhere %.6f of area", s.Spec.name(), least, 1-least,
			seams, step(0, 1))
		if one := 1.5 * least / hybridCells; seams > one || step(0, 1) > one {
			t.Errorf("%s: a step of %.6f; one dot in the supercell is %.6f", s.Spec.name(), step(0, 1), one)
		}
	}
}

// TestScreensStandWhereTheFilmsOriginPutsThem screens pieces anywhere of a film and holds them against the whole.
func TestScreensStandWhereTheFilmsOriginPutsThem(t *testing.T) {
	const words, rows = 40, 900
	r := rand.New(rand.NewPCG(15, 16))
	for _, spec := range areaCases(t) {
		s := mustNew(t, spec)
		whole := make([][]uint64, rows)
		upper, lower := tones(r, words), tones(r, words)
		for y := range whole {
			whole[y] = make([]uint64, words)
			s.Row(whole[y], upper, lower, y%33, 0, y)
		}
		again := mustNew(t, spec) // made anew, as on another machine
		for range 400 {
			y, x := r.IntN(rows), r.IntN(words)
			n := 1 + r.IntN(words-x)
			piece := make([]uint64, n)
			again.Row(piece, upper[x*128:], lower[x*128:], y%33, x*64, y)
			for i, w := range piece {
				if w != whole[y][x+i] {
					t.Fatalf("%s: row %d from word %d differs from the whole at word %d", s.Spec.name(), y, x, x+i)
				}
			}
		}
	}
}
