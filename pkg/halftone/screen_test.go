package halftone

import (
	"math"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/tone"
)

// specimens are screens of every kind, at equal and unequal resolutions.
func specimens() []Spec {
	return []Spec{
		{Kind: AM, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440},
		{Kind: AM, FreqLPI: 45, AngleDeg: 15, XDPI: 1440, YDPI: 720, Dot: DotEllipse},
		{Kind: AM, FreqLPI: 65, AngleDeg: 22.5, XDPI: 600, YDPI: 600},
		{Kind: FM, DotUM: 80, XDPI: 1440, YDPI: 720},
		{Kind: Hybrid, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440, DotUM: 80},
	}
}

// area is the share of ink in a flat tone, over a piece of many supercells.
func area(s *Screen, tone float64) float64 {
	const n = 48
	sum := 0.0
	for _, v := range flat(s, tone, n, 32, 32) {
		sum += v
	}
	return sum / (n * n)
}

func TestEveryRankInksInItsTurn(t *testing.T) {
	for _, spec := range specimens() {
		s := mustNew(t, spec)
		seen := make([]int, s.ranks)
		for _, r := range s.rank {
			seen[r]++
		}
		for r, n := range seen {
			if spec.Kind == Hybrid {
				break // whole dots share a rank
			}
			if n != len(s.rank)/s.ranks {
				t.Fatalf("%s: rank %d stands %d times, want %d", spec.Kind, r, n, len(s.rank)/s.ranks)
			}
		}
		of := s.thresholdsOfRanks(tone.EdgeGrowth(55, 15))
		for r := range of[1:] {
			if of[r+1] < of[r] {
				t.Fatalf("%s: rank %d inks before rank %d", spec.Kind, r+1, r)
			}
		}
	}
}

func TestCurveIsFoldedIntoTheThresholds(t *testing.T) {
	s := mustNew(t, Spec{Kind: AM, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440})
	c := tone.EdgeGrowth(55, 20)
	bent := s.WithCurve(c)
	for _, a := range []float64{0.05, 0.2, 0.5, 0.8, 0.95} {
		a = math.Round(a*1020) / 1020
		if got, want := area(bent, a), c.At(a); math.Abs(got-want) > 0.002 {
			t.Errorf("tone %g covers %.4f, the curve says %.4f (tolerance 0.002)", a, got, want)
		}
	}
	if got := area(s, 0.5); math.Abs(got-0.5) > 0.002 {
		t.Errorf("the screen the curve was folded into changed: 50 %% covers %g", got)
	}
	if got := area(bent.Plain(), 0.5); math.Abs(got-0.5) > 0.002 {
		t.Errorf("the plain screen covers %g at 50 %%", got)
	}
}

func TestLimitsDropOrHoldWhatTheMeshCannot(t *testing.T) {
	spec := Spec{Kind: AM, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440, MinDot: 0.05, MinGap: 0.08}
	dropped := mustNew(t, spec)
	spec.Highlights, spec.Shadows = Hold, Hold
	held := mustNew(t, spec)
	for _, c := range []struct{ tone, dropped, held float64 }{
		{0, 0, 0}, {0.01, 0, 0.05}, {0.049, 0, 0.05}, {0.1, 0.1, 0.1}, {0.5, 0.5, 0.5}, {0.9, 0.9, 0.9},
		{0.95, 1, 0.92}, {0.99, 1, 0.92}, {1, 1, 1},
	} {
		if got := area(dropped, c.tone); math.Abs(got-c.dropped) > 0.003 {
			t.Errorf("drop: tone %g covers %.4f, want %g (tolerance 0.003)", c.tone, got, c.dropped)
		}
		if got := area(held, c.tone); math.Abs(got-c.held) > 0.003 {
			t.Errorf("hold: tone %g covers %.4f, want %g (tolerance 0.003)", c.tone, got, c.held)
		}
	}
}

func TestSpotFunctionsHaveThePublishedValues(t *testing.T) {
	const source = "ISO 32000-1:2008 10.5.3, evaluated by a PostScript interpreter, to 1e-5"
	at := [5][2]float64{{.5, .25}, {-.25, .5}, {.75, .75}, {.6, -.2}, {1, 1}}
	for dot, want := range map[Dot][5]float64{
		DotSimple:   {.6875, .6875, -.125, .6, -1},
		DotCosine:   {.353553, .353553, -.707107, .25, -1},
		DotRound:    {.6875, .6875, -.875, .6, -1},
		DotEllipse:  {.909722, .873264, -.956597, .892222, -1},
		DotDiamond:  {.6875, .6875, -.875, .29, -1},
		DotEllipseA: {.69375, .7125, -.06875, .604, -.9},
		DotEllipseB: {.462355, .532293, .043934, .379516, -.274755},
		DotSquare:   {-.5, -.5, -.75, -.6, -1},
		DotCross:    {-.25, -.25, -.75, -.2, -1},
		DotLine:     {-.25, -.5, -.75, -.2, -1},
		DotRhomboid: {.35, .3625, .7125, .37, .95},
		DotDouble:   {.5, -.5, -1, -.769421, 0},
	} {
		for i, p := range at {
			if got, known := dot.Spot(p[0], p[1]); !known || math.Abs(got-want[i]) > 1e-5 {
				t.Errorf("%s at %v is %g, want %g (%s)", dot, p, got, want[i], source)
			}
		}
	}
	if _, known := Dot("heart").Spot(0, 0); known {
		t.Error("an unknown dot is known")
	}
}

func TestScreenRefusesWhatCannotBe(t *testing.T) {
	good := Spec{Kind: AM, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440}
	for _, c := range []struct {
		field string
		spoil func(s *Spec)
	}{
		{"/halftone/lpi", func(s *Spec) { s.FreqLPI = 0 }},
		{"/halftone/lpi", func(s *Spec) { s.FreqLPI = math.NaN() }},
		{"/halftone/lpi", func(s *Spec) { s.FreqLPI, s.XDPI = 120, 300 }},
		{"/halftone/angle_deg", func(s *Spec) { s.AngleDeg = math.Inf(1) }},
		{"/halftone/dot", func(s *Spec) { s.Dot = "heart" }},
		{"/halftone/mix", func(s *Spec) { s.Dot = DotMix }},
		{"/halftone/mix", func(s *Spec) { s.Mix = "round@0,square@1" }},
		{"/halftone/cluster_um", func(s *Spec) { s.ClusterUM = 200 }},
		{"/halftone/cluster_um", func(s *Spec) { s.Kind, s.ClusterUM = FM, 10 }},
		{"/halftone/cluster_um", func(s *Spec) { s.Kind, s.ClusterUM, s.XDPI = FM, 100, 300 }},
		{"/halftone/kind", func(s *Spec) { s.Kind = "" }},
		{"/halftone/dot_um", func(s *Spec) { s.Kind, s.DotUM = FM, 0 }},
		{"/halftone/highlights", func(s *Spec) { s.Highlights = "keep" }},
		{"/halftone", func(s *Spec) { s.MinDot = 0.7 }},
		{"/film/device", func(s *Spec) { s.YDPI = 10 }},
	} {
		s := good
		c.spoil(&s)
		_, err := New(s)
		if !fault.Is(err, fault.Invalid) || fault.Of(err).Field != c.field {
			t.Errorf("%+v: %v, want an Invalid fault at %s", s, err, c.field)
		}
	}
}

// smallest is the size in device pixels of the smallest piece of ink (or of bare film) that does not touch the border
// of an n x n picture.
func smallest(picture []float64, n int, ink float64) int {
	least, seen := n*n, make([]bool, n*n)
	for start := range picture {
		if seen[start] || picture[start] != ink {
			continue
		}
		size, border, todo := 0, false, []int{start}
		seen[start] = true
		for len(todo) > 0 {
			at := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			size++
			x, y := at%n, at/n
			for _, d := range [4][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
				u, v := x+d[0], y+d[1]
				if u < 0 || v < 0 || u >= n || v >= n {
					border = true
				} else if next := v*n + u; !seen[next] && picture[next] == ink {
					seen[next] = true
					todo = append(todo, next)
				}
			}
		}
		if !border {
			least = min(least, size)
		}
	}
	return least
}

func TestHybridNeverPrintsADotOrAHoleSmallerThanAsked(t *testing.T) {
	const n = 700
	s := mustNew(t, Spec{Kind: Hybrid, FreqLPI: 55, AngleDeg: 22.5, XDPI: 1440, YDPI: 1440, DotUM: 100})
	want := int(0.85 * math.Pi / 4 * math.Pow(100*1440/25400.0, 2)) // pixels, less what the grid of pixels takes
	for _, c := range []struct{ tone, ink float64 }{{0.01, 1}, {0.03, 1}, {0.06, 1}, {0.97, 0}, {0.99, 0}} {
		if got := smallest(flat(s, c.tone, n, 1, 1), n, c.ink); got < want {
			t.Errorf("tone %g: the smallest piece has %d px, want %d", c.tone, got, want)
		}
	}
}
