package halftone

import (
	"testing"

	"tamis/pkg/tone"
)

// BenchmarkNew makes screens of every kind: what a plan waits for.
func BenchmarkNew(b *testing.B) {
	for _, spec := range areaCases(b) {
		b.Run(spec.name(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				mustNew(b, spec)
			}
		})
	}
}

// BenchmarkSixPlates makes the screens of a job, each plate's with its curve: the angles of six inks, an underbase and a
// white among them.
func BenchmarkSixPlates(b *testing.B) {
	curve := tone.EdgeGrowth(55, 15).Inverse()
	for _, c := range []struct {
		name string
		spec Spec
	}{
		{"am_55_1440", Spec{Kind: AM, FreqLPI: 55, XDPI: 1440, YDPI: 1440}},
		{"am_65_1440", Spec{Kind: AM, FreqLPI: 65, XDPI: 1440, YDPI: 1440}},
		{"am_45_2540", Spec{Kind: AM, FreqLPI: 45, XDPI: 2540, YDPI: 2540}},
		{"mix_55_1440", Spec{Kind: AM, FreqLPI: 55, XDPI: 1440, YDPI: 1440, Dot: DotRoundSquare}},
		{"hybrid_55_1440", Spec{Kind: Hybrid, FreqLPI: 55, XDPI: 1440, YDPI: 1440, DotUM: 80}},
		{"hybrid_65_1440", Spec{Kind: Hybrid, FreqLPI: 65, XDPI: 1440, YDPI: 1440, DotUM: 80}},
		{"hybrid_45_2540", Spec{Kind: Hybrid, FreqLPI: 45, XDPI: 2540, YDPI: 2540, DotUM: 100}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				for _, c.spec.AngleDeg = range []float64{7.5, 22.5, 37.5, 52.5, 67.5, 82.5} {
					if _, err := NewWithCurve(c.spec, curve); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}
