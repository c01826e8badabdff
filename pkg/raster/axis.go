package raster

import (
	"encoding/binary"
	"math"

	"tamis/pkg/kernel"
)

// Axis says where the pixels of a device lie on a plane, along one axis: device pixel i samples between source pixels
// Index[i] and Index[i]+1, Weight[i] 32nds (0..31) of the way. At the plane's ends its last pixel stands for what lies
// beyond: Index[i] is 0..size-1, and where Index[i]+1 does not exist the weight is 0.
type Axis struct {
	Index  []int32
	Weight []uint8

	near  []int32 // the source pixel under the centre
	runs  []int32 // the first device pixel of each source pixel from Index[0] on, and the end
	lanes []byte  // the weights as 16-bit little-endian, with SpreadSlack bytes more

	blocks []spreadBlock
	spread spreadKernel
}

// NewAxis maps count device pixels, the whole plane being size source pixels over exact device pixels (exact is count
// before rounding). phase is the device position of pixel 0 on the grid that tones are sampled on: blocks of grid
// device pixels take the tone of their centre; grid 1 samples each pixel at its own.
func NewAxis(size, count int, exact float64, grid, phase int) Axis {
	a := Axis{Index: make([]int32, count), Weight: make([]uint8, count), near: make([]int32, count)}
	step := float64(size) / exact
	for i := range count {
		block := (i + phase) / grid
		centre := float64(block*grid-phase) + float64(grid)/2
		place := float64(centre*step) - 0.5
		a.near[i] = int32(min(max(math.Floor(place+0.5), 0), float64(size-1)))
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
	a.prepare()
	a.blocks = a.newBlocks(size)
	a.spread = kernel.Fastest(spreadVariants, spreadGeneric)
	return a
}

// Nearest is the source pixel under the centre of device pixel i.
func (a *Axis) Nearest(i int) int { return int(a.near[i]) }

// prepare lays out what Spread's kernels read.
func (a *Axis) prepare() {
	a.lanes = make([]byte, 2*len(a.Weight)+SpreadSlack)
	next := a.Index[0]
	for i, at := range a.Index {
		binary.LittleEndian.PutUint16(a.lanes[2*i:], uint16(a.Weight[i]))
		for ; next <= at; next++ {
			a.runs = append(a.runs, int32(i))
		}
	}
	a.runs = append(a.runs, int32(len(a.Index)))
}
