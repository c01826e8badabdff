package tone

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tamis/pkg/fault"
)

// patches pairs tones with what was read of them.
func patches(tones, reads []float64) []Patch {
	list := make([]Patch, len(tones))
	for i, tone := range tones {
		list[i] = Patch{tone, reads[i]}
	}
	return list
}

func TestStripsThatHardlyRiseAreRefusedAtThePatch(t *testing.T) {
	even := []float64{0, 0.2, 0.4, 0.6, 0.8, 1}
	for name, c := range map[string]struct {
		strip  Strip
		fields string
	}{
		"solid from the first tint on": {Strip{Patches: patches(even, []float64{0, 1, 1, 1, 1, 1})},
			"/patches/3/area /patches/4/area /patches/5/area"},
		"bare up to 0.75": {Strip{Patches: patches([]float64{0, 0.25, 0.5, 0.75, 1}, []float64{0, 0, 0, 0, 1})},
			"/patches/2/area /patches/3/area"},
		"bare up to 0.75, densities": {Strip{Densities: true, Patches: patches([]float64{0, 0.25, 0.5, 0.75, 1},
			[]float64{0.05, 0.05, 0.05, 0.05, 1.4})}, "/patches/2/density /patches/3/density"},
		"lighter than the stock": {Strip{Densities: true, Patches: patches([]float64{0, 0.5, 0.6, 0.7, 1},
			[]float64{0.03, 0.02, 0.02, 0.02, 1.4})}, "/patches/1/density /patches/2/density /patches/3/density"},
		"a pale solid": {Strip{Densities: true, Patches: patches([]float64{0, 0.25, 0.5, 0.75, 1},
			[]float64{0.03, 0.06, 0.1, 0.15, 0.25})}, "/patches/4/density"},
		"closed from 0.5 on, no solid read": {Strip{Patches: patches([]float64{0.1, 0.3, 0.5}, []float64{0.3, 0.7, 0.99})},
			"/patches/2/area"},
		"closed from 0.7 on": {Strip{Patches: patches([]float64{0, 0.1, 0.3, 0.5, 0.7, 0.9, 1},
			[]float64{0, 0.15, 0.5, 0.8, 1, 1, 1})}, ""},
		"lost up to 0.3": {Strip{Patches: patches([]float64{0, 0.1, 0.3, 0.5, 0.7, 0.9, 1},
			[]float64{0, 0, 0, 0.4, 0.7, 0.9, 1})}, ""},
		"50 gains 40": {Strip{Patches: patches([]float64{0, 0.1, 0.25, 0.5, 0.75, 1},
			[]float64{0, 0.3, 0.6, 0.9, 0.97, 1})}, ""},
		"one tone read as two": {Strip{Patches: patches([]float64{0, 0.25, 0.5, 0.5, 0.75, 1},
			[]float64{0, 0.3, 0.3, 0.62, 0.8, 1})}, "/patches/2/area /patches/3/area"},
		"one tone within a print's own spread": {Strip{Patches: patches([]float64{0, 0.25, 0.5, 0.5, 0.75, 1},
			[]float64{0, 0.3, 0.53, 0.6, 0.8, 1})}, ""},
		"two stocks": {Strip{Densities: true, Patches: patches([]float64{0, 0, 0.25, 0.5, 0.75, 1},
			[]float64{0.03, 0.5, 0.4, 0.5, 0.8, 1.4})}, "/patches/0/density /patches/1/density"},
		"a dense solid read twice": {Strip{Densities: true, Patches: patches([]float64{0, 0.25, 0.5, 0.75, 1, 1},
			[]float64{0.03, 0.17, 0.35, 0.65, 3.5, 3.7})}, ""},
		"a tone of 75 through a film":   {Strip{Patches: []Patch{{75, 0.8}, {0.1, 0.1}, {0.3, 0.3}, {0.5, 0.5}}, Film: EdgeGrowth(55, 3)}, "/patches/0/tone"},
		"a tone of -3 through a film":   {Strip{Patches: []Patch{{0.1, 0.1}, {-3, 0}, {0.3, 0.3}, {0.5, 0.5}}, Film: EdgeGrowth(55, 3)}, "/patches/1/tone"},
		"sound readings through a film": {Strip{Patches: []Patch{{0.1, 0.1}, {0.3, 0.3}, {0.5, 0.5}}, Film: EdgeGrowth(55, 3)}, ""},
	} {
		_, err := Measure(c.strip)
		var fields []string
		if err != nil {
			for _, f := range fault.All(err) {
				fields = append(fields, f.Field)
			}
		}
		if got := strings.Join(fields, " "); got != c.fields {
			t.Errorf("%s: faults at %q, want %q (%v)", name, got, c.fields, err)
		}
	}
}

// TestOrdinaryStripsAreNotNoisy reads strips of devices of many shapes, off by sigma of area, and counts how many are told
// noisy.
func TestOrdinaryStripsAreNotNoisy(t *testing.T) {
	published, err := FromPoints(handbook())
	if err != nil {
		t.Fatal(err)
	}
	devices := []Curve{{}, EdgeGrowth(55, 3), EdgeGrowth(55, 20), EdgeGrowth(120, 10), ScatterGrowth(100, 10), published,
		fromFunc(func(x float64) float64 { return math.Pow(x, 0.7) }), fromFunc(func(x float64) float64 { return math.Pow(x, 1.4) })}
	ten := []float64{0.05, 0.10, 0.25, 0.40, 0.50, 0.60, 0.75, 0.90, 0.95}
	r := rand.New(rand.NewPCG(13, 14))
	for _, c := range []struct {
		tones       []float64
		sigma       float64
		least, most float64 // share told noisy
	}{
		{ten, 0, 0, 0}, {ten, 0.005, 0, 0.01}, {ten, 0.01, 0, 0.05}, {ten, 0.04, 0.8, 1},
		{steps()[1:8], 0, 0, 0}, {steps()[1:8], 0.01, 0, 0.1}, {steps()[1:8], 0.04, 0.6, 1},
		{evenTones(40)[1:40], 0, 0, 0}, {evenTones(40)[1:40], 0.01, 0, 0.2},
		{[]float64{0.1, 0.25, 0.5, 0.75, 0.9}, 0, 0, 0}, {[]float64{0.1, 0.5, 0.9}, 0.01, 0, 0},
	} {
		noisy, all, most := 0.0, 0.0, 0.0
		for range 8 * len(devices) {
			s := Strip{}
			for _, tone := range c.tones {
				read := devices[int(all)%len(devices)].At(tone) + c.sigma*r.NormFloat64()
				s.Patches = append(s.Patches, Patch{tone, min(max(read, 0), 1)})
			}
			m, err := Measure(s)
			all++
			if m.Noisy || err != nil {
				noisy++
			}
			most = math.Max(most, m.NoiseArea)
		}
		t.Logf("%d tones, off by %.3f: %.0f of %.0f noisy or refused, noise %.4f at most", len(c.tones), c.sigma, noisy, all, most)
		if noisy < c.least*all || noisy > c.most*all {
			t.Errorf("%d tones, off by %.3f: %.0f of %.0f are told noisy or refused; %.0f to %.0f %% are wanted", len(c.tones),
				c.sigma, noisy, all, 100*c.least, 100*c.most)
		}
	}
}
