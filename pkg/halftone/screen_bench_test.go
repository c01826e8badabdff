package halftone

import "testing"

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
