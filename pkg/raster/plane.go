// Package raster holds the picture planes the trade packages hand to one another: tone planes of one byte a pixel,
// 1-bit bitmaps, and what is done to them as geometry: resampling and distance maps.
//
// Rows run top down. In every bitmap bit 1 is ink; only the film writer knows black, white and negative.
// It knows nothing of colour, inks or files.
package raster

import (
	"fmt"

	"tamis/pkg/pages"
)

// Plane is one ink's coverage at the artwork's resolution: Pix[y*Width+x], 0 bare .. 255 solid. No padding.
type Plane struct {
	Width, Height int
	Pix           []uint8
}

// NewPlane makes a bare plane. It panics on a size that is not positive: sizes were checked when the artwork came in.
func NewPlane(width, height int) *Plane {
	if width <= 0 || height <= 0 {
		panic(fmt.Sprintf("raster: plane of %d x %d", width, height))
	}
	return &Plane{Width: width, Height: height, Pix: pages.Make[uint8](width * height)}
}

// Row is the y-th row, Width bytes, sharing memory with the plane.
func (p *Plane) Row(y int) []uint8 { return p.Pix[y*p.Width : (y+1)*p.Width] }

// Mean is the mean coverage of the plane, 0..1.
func (p *Plane) Mean() float64 {
	var sum uint64
	for _, v := range p.Pix {
		sum += uint64(v)
	}
	return float64(sum) / 255 / float64(len(p.Pix))
}
