package separate

import (
	"cmp"
	"slices"

	"tamis/pkg/raster"
)

// noise picks one colour a pixel by a blue-noise mask: the shares, laid end to end, are cut where the mask's rank says.
type noise struct {
	mask  []uint32
	order []int // the colours from dark to light
}

// newNoise lays colours end to end by lightness, so that ranks that follow one another choose between likes: of the
// noise in the print the eye sees lightness first. Ours.
func newNoise(m *mixer) *noise {
	n := &noise{mask: raster.BlueNoise(), order: make([]int, len(m.light))}
	for k := range n.order {
		n.order[k] = k
	}
	slices.SortStableFunc(n.order, func(a, b int) int { return cmp.Compare(m.light[a].Lab().L, m.light[b].Lab().L) })
	return n
}

// pick chooses the colour of pixel x, y.
func (n *noise) pick(share []uint8, x, y int) int {
	total := uint32(0)
	for _, s := range share {
		total += uint32(s)
	}
	const side = raster.BlueNoiseSide
	at := n.mask[y%side*side+x%side] * total / (side * side) // 0..total-1
	for _, k := range n.order {
		if at < uint32(share[k]) {
			return k
		}
		at -= uint32(share[k])
	}
	return n.order[len(n.order)-1]
}
