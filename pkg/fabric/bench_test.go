package fabric_test

import (
	"testing"

	"tamis/pkg/fabric"
	"tamis/pkg/halftone"
)

// BenchmarkSearch finds the angle of six plates on two meshes in three classes, and what it takes to know their dot.
func BenchmarkSearch(b *testing.B) {
	b.Run("dot", func(b *testing.B) {
		for b.Loop() {
			fabric.PlateOrders(halftone.DotRound)
		}
	})
	orders := fabric.PlateOrders(halftone.DotRound)
	var plates []fabric.Plate
	for i := range 6 {
		m := fabric.Mesh{ThreadsPerCM: 100, ThreadUM: 40}
		if i == 0 {
			m = fabric.Mesh{ThreadsPerCM: 90, ThreadUM: 48}
		}
		plates = append(plates, fabric.Plate{Orders: orders, Mesh: m, TurnDeg: 30 * float64(i%3)})
	}
	for name, a := range map[string]fabric.Allowed{
		"angle":  {LPI: [2]float64{55, 55}, AngleDeg: [2]float64{0, 90}},
		"ruling": {LPI: [2]float64{50, 55}, AngleDeg: [2]float64{0, 90}, Enough: 0.001},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				fabric.Search(plates, a, fabric.ViewMM)
			}
		})
	}
}
