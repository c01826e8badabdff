package raster

import (
	"fmt"

	"tamis/pkg/pages"
)

// Regions says which of up to 32 labels each pixel of a picture belongs to: a share of label A, the rest of label B,
// as the soft edges of artwork have it. Where a pixel has one label, A and B are equal. No padding.
//
// Shares say where the borders lie between pixels: see RegionCut. Whoever makes it says what the labels mean.
type Regions struct {
	Width, Height int
	A, B          []uint8 // labels, 0..31
	Share         []uint8 // of A, 0..255; the rest is B's
}

// Labels is a set of labels, a bit each.
type Labels uint32

// Has tells whether a label is in the set.
func (l Labels) Has(label uint8) bool { return l>>label&1 != 0 }

// NewRegions gives every pixel label 0. It panics on a size that is not positive.
func NewRegions(width, height int) *Regions {
	if width <= 0 || height <= 0 {
		panic(fmt.Sprintf("raster: regions of %d x %d", width, height))
	}
	n := width * height
	return &Regions{Width: width, Height: height, A: pages.Make[uint8](n), B: pages.Make[uint8](n), Share: pages.Make[uint8](n)}
}

// Of is the share of pixel i that has one of the labels, 0..255.
func (r *Regions) Of(i int, labels Labels) uint8 {
	share := uint8(0)
	if labels.Has(r.A[i]) {
		share = r.Share[i]
	}
	if labels.Has(r.B[i]) {
		share += 255 - r.Share[i]
	}
	return share
}

// TurnLeft gives the regions turned by 90 degrees counter-clockwise: the top edge becomes the left one.
func (r *Regions) TurnLeft() *Regions {
	turn := func(pix []uint8) []uint8 { return TurnLeft(&Plane{r.Width, r.Height, pix}).Pix }
	return &Regions{Width: r.Height, Height: r.Width, A: turn(r.A), B: turn(r.B), Share: turn(r.Share)}
}
