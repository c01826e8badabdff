package tone

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tamis/pkg/fault"
)

// steps are the tones of a film's control strip, and the bare stock.
func steps() []float64 { return []float64{0, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 1} }

// density is what a densitometer reads of an area, Yule-Nielsen turned round.
func density(area, bare, solid, n float64) float64 {
	return bare - n*math.Log10(1-area*(1-math.Pow(10, (bare-solid)/n)))
}

// worst is how far two curves part, in area.
func worst(a, b Curve) float64 {
	off := 0.0
	for x := 0.0; x <= 1; x += 1.0 / 1024 {
		off = math.Max(off, math.Abs(a.At(x)-b.At(x)))
	}
	return off
}

func TestAMeasuredCurveIsTheDevicesOwn(t *testing.T) {
	published, err := FromPoints(handbook())
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		device    Curve
		tones     []float64
		n         float64
		tolerance float64
	}{
		"8 steps, edges grow 3 um":  {EdgeGrowth(55, 3), steps(), 1, 0.003},
		"8 steps, edges grow 10 um": {EdgeGrowth(55, 10), steps(), 1, 0.008},
		"8 steps, a curve of power": {fromFunc(func(x float64) float64 { return math.Pow(x, 0.7) }), steps(), 1.7, 0.012},
		"40 steps, a press":         {EdgeGrowth(55, 20), evenTones(40), 2, 0.006},
		"40 steps, a weaver's own":  {published, evenTones(40), 1, 0.008},
	} {
		s := Strip{Densities: true, N: c.n}
		for _, tone := range c.tones {
			s.Patches = append(s.Patches, Patch{tone, density(c.device.At(tone), 0.06, 1.45, c.n)})
		}
		m, err := Measure(s)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		off := worst(m.Curve, c.device)
		t.Logf("%-28s off by %.4f at most, noise %.4f, 50 %% gives %.4f (the device's: %.4f)", name, off, m.NoiseArea,
			m.Curve.At(0.5), c.device.At(0.5))
		if off > c.tolerance || !m.Monotone {
			t.Errorf("%s: off by %.4f (tolerance %g), monotone %v", name, off, c.tolerance, m.Monotone)
		}
	}
}

func evenTones(n int) []float64 {
	tones := make([]float64, n+1)
	for i := range tones {
		tones[i] = float64(i) / float64(n)
	}
	return tones
}

func TestNoiseIsSmoothedAndTold(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	device := EdgeGrowth(55, 15)
	for _, sigma := range []float64{0.005, 0.01, 0.02} {
		s := Strip{}
		for range 3 {
			for _, tone := range evenTones(20)[1:20] {
				s.Patches = append(s.Patches, Patch{tone, min(max(device.At(tone)+sigma*r.NormFloat64(), 0), 1)})
			}
		}
		m, err := Measure(s)
		if err != nil {
			t.Fatalf("noise of %g: %v", sigma, err)
		}
		off := worst(m.Curve, device)
		t.Logf("noise of %.3f: told as %.4f, the curve off by %.4f at most", sigma, m.NoiseArea, off)
		if math.Abs(m.NoiseArea/sigma-1) > 0.35 || off > 0.004+1.5*sigma {
			t.Errorf("noise of %g is told as %.4f (tolerance 35 %%), the curve off by %.4f (tolerance %.4f)", sigma,
				m.NoiseArea, off, 0.004+1.5*sigma)
		}
	}
}

func TestACurveOfNoisyReadingsNeverFalls(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 200 {
		s := Strip{}
		for n := 3 + r.IntN(20); n > 0; n-- {
			tone := 0.01 + 0.98*r.Float64()
			s.Patches = append(s.Patches, Patch{tone, min(max(tone+0.004*r.NormFloat64(), 0), 1)})
		}
		m, err := Measure(s)
		if err != nil {
			t.Fatalf("%v: %v", s.Patches, err)
		}
		last := 0.0
		for x := 0.0; x <= 1; x += 1.0 / 512 {
			if v := m.Curve.At(x); v < last {
				t.Fatalf("%v: the curve falls at %g", s.Patches, x)
			} else {
				last = v
			}
		}
		if m.Curve.At(0) != 0 || m.Curve.At(1) != 1 || math.IsNaN(m.NoiseArea) {
			t.Fatalf("%v: ends %g and %g, noise %g", s.Patches, m.Curve.At(0), m.Curve.At(1), m.NoiseArea)
		}
	}
}

func TestNoStripMakesACurveThatIsNone(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	made := 0
	for range 400 {
		s := Strip{Densities: r.IntN(2) == 0, N: 1 + 3*r.Float64()}
		for n := 2 + r.IntN(60); n > 0; n-- {
			tone := float64(r.IntN(101)) / 100
			if r.IntN(3) == 0 && len(s.Patches) > 0 { // hardly apart from another
				tone = min(max(s.Patches[r.IntN(len(s.Patches))].Tone+1e-9*r.NormFloat64(), 0), 1)
			}
			read := min(max(math.Pow(tone, 0.2+2*r.Float64()*0.1)+0.001*r.NormFloat64(), 0), 1)
			s.Patches = append(s.Patches, Patch{tone, read})
		}
		if s.Densities {
			s.Patches = append(s.Patches, Patch{0, 0}, Patch{1, 1.01})
		}
		m, err := Measure(s)
		if err != nil {
			if !fault.Is(err, fault.Invalid) {
				t.Fatalf("%v: %v", s.Patches, err)
			}
			continue
		}
		made++
		last := 0.0
		for _, p := range m.Curve.Points(300) {
			if p[1] < last || p[1] > 1 {
				t.Fatalf("%v: the curve gives %v after %g", s.Patches, p, last)
			}
			last = p[1]
		}
		if !(m.NoiseArea >= 0 && m.NoiseArea < 1) {
			t.Fatalf("%v: noise %g", s.Patches, m.NoiseArea)
		}
	}
	if made < 50 {
		t.Errorf("only %d of 400 strips made a curve", made)
	}
}

func TestReadingsThatCannotBeAreRefusedOneByOne(t *testing.T) {
	good := []Patch{{0, 0.05}, {0.25, 0.2}, {0.5, 0.4}, {0.75, 0.8}, {1, 1.5}}
	with := func(n int, p Patch) []Patch {
		patches := append([]Patch(nil), good...)
		patches[n] = p
		return patches
	}
	for name, c := range map[string]struct {
		strip  Strip
		fields string
	}{
		"falling":           {Strip{Patches: with(3, Patch{0.75, 0.36}), Densities: true}, "/patches/3/density"},
		"falls as one errs": {Strip{Patches: with(3, Patch{0.75, 0.39}), Densities: true}, ""},
		"solid under paper": {Strip{Patches: with(4, Patch{1, 0.02}), Densities: true}, "/patches/4/density"},
		"solid under tint":  {Strip{Patches: with(4, Patch{1, 0.7}), Densities: true}, "/patches/4/density"},
		"too few":           {Strip{Patches: good[1:3]}, "/patches"},
		"no paper":          {Strip{Patches: good[1:], Densities: true}, "/patches"},
		"not a tone":        {Strip{Patches: with(1, Patch{25, 0.2}), Densities: true}, "/patches/1/tone"},
		"not a density":     {Strip{Patches: with(2, Patch{0.5, math.NaN()}), Densities: true}, "/patches/2/density"},
		"not an area":       {Strip{Patches: with(4, Patch{1, 1.5})}, "/patches/4/area"},
		"a wild factor":     {Strip{Patches: good, Densities: true, N: 0.5}, "/n"},
		"ink on bare stock": {Strip{Patches: []Patch{{0, 0.2}, {0.2, 0.3}, {0.4, 0.5}, {0.6, 0.7}}}, "/patches/0/area"},
		"too long":          {Strip{Patches: make([]Patch, 201)}, "/patches"},
	} {
		_, err := Measure(c.strip)
		var fields []string
		if err != nil {
			for _, f := range fault.All(err) {
				if f.Kind != fault.Invalid {
					t.Errorf("%s: %v is not an Invalid fault", name, f)
				}
				fields = append(fields, f.Field)
			}
		}
		if got := strings.Join(fields, " "); got != c.fields {
			t.Errorf("%s: faults at %q, want %q (%v)", name, got, c.fields, err)
		}
	}
}
