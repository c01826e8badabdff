package raster

import "math"

// Axis says where the pixels of a device lie on a plane, along one axis: device pixel i samples between source pixels
// Index[i] and Index[i]+1, Weight[i] 32nds of the way. At the plane's ends the last pixel stands for what lies beyond:
// Index[i]+1 is never read with weight 0, and Index[i] is 0..size-1.
type Axis struct {
	Index  []int32
	Weight []uint8
}

// NewAxis maps count device pixels, the whole plane being size source pixels over exact device pixels (exact is count
// before rounding). phase is the device position of pixel 0 on the grid that tones are sampled on: blocks of grid
// device pixels take the tone of their centre; grid 1 samples each pixel at its own.
func NewAxis(size, count int, exact float64, grid, phase int) Axis {
	a := Axis{Index: make([]int32, count), Weight: make([]uint8, count)}
	step := float64(size) / exact
	for i := range count {
		block := (i + phase) / grid
		centre := float64(block*grid-phase) + float64(grid)/2
		place := float64(centre*step) - 0.5
		at := math.Floor(place)
		weight := int(float64((place-at)*32) + 0.5)
		if weight == 32 {
			at, weight = at+1, 0
		}
		switch {
		case at < 0:
			at, weight = 0, 0
		case at >= float64(size-1):
			at, weight = float64(size-1), 0
		}
		a.Index[i], a.Weight[i] = int32(at), uint8(weight)
	}
	return a
}
