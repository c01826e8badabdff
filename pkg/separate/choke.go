package separate

import (
	"tamis/pkg/artwork"
	"tamis/pkg/raster"
)

// choke holds the underbase back from the print's edge where colour covers it, so that it does not peep out when the
// screens are out of register.
type choke struct {
	base              int // index of the underbase's plane
	chokeMM           float64
	widthMM, heightMM float64 // of the print: gives the pixel's size
}

// hold cuts planes[base] in place.
//
// Where the underbase itself shows (no ink over it) nothing is cut: there it is the picture. Strokes too thin for the
// choke are choked by half of it, then a quarter, and the thinnest not at all: see held.
func (c *choke) hold(img *artwork.Image, planes []*raster.Plane) {
	rx, ry := c.radiusOf(c.chokeMM, img.Width, img.Height)
	if rx <= 0 || ry <= 0 {
		return
	}
	base := planes[c.base]
	cover, printed := raster.NewPlane(img.Width, img.Height), raster.NewPlane(img.Width, img.Height)
	for i := range cover.Pix {
		top := 0
		for k, p := range planes {
			if k != c.base {
				top += int(p.Pix[i])
			}
		}
		cover.Pix[i] = uint8(min(top, 255))
		printed.Pix[i] = uint8(min(2*max(top, int(base.Pix[i])), 255))
	}
	inside := held(printed, rx, ry)
	for i, u := range base.Pix {
		cut := uint32(u) * uint32(inside.Pix[i]) / 255
		over := uint32(cover.Pix[i])
		base.Pix[i] = uint8((cut*over + uint32(u)*(255-over) + 127) / 255)
	}
}

// radiusOf is a length in pixels along x and y; 0 where the print's size is unknown.
func (c *choke) radiusOf(mm float64, width, height int) (rx, ry float64) {
	if c.widthMM <= 0 || c.heightMM <= 0 {
		return 0, 0
	}
	return mm * float64(width) / c.widthMM, mm * float64(height) / c.heightMM
}

// held is the part of a shape an underbase may fill: the shape choked by the radius; strokes that would go are choked
// by a half, those that would still go by a quarter, and what is thinner keeps all.
func held(shape *raster.Plane, rx, ry float64) *raster.Plane {
	out := raster.Shrink(shape, rx, ry)
	core := raster.Grow(out, rx, ry)
	for _, part := range [...]float64{0.5, 0.25, 0} {
		thin := thinner(shape, core)
		if !anyInk(thin) {
			break
		}
		near := raster.Grow(thin, rx+1, ry+1)
		less := raster.Shrink(shape, part*rx, part*ry)
		for i, v := range less.Pix {
			out.Pix[i] = max(out.Pix[i], min(v, near.Pix[i]))
		}
		grown := raster.Grow(less, part*rx, part*ry)
		for i, v := range grown.Pix {
			core.Pix[i] = max(core.Pix[i], v)
		}
	}
	return out
}

// thinner marks what of the shape its opened core misses, without the slivers at corners.
func thinner(shape, core *raster.Plane) *raster.Plane {
	rest := raster.NewPlane(shape.Width, shape.Height)
	for i, v := range shape.Pix {
		if v >= 128 && core.Pix[i] < 128 {
			rest.Pix[i] = 255
		}
	}
	return raster.Grow(raster.Shrink(rest, 1, 1), 1, 1)
}

func anyInk(p *raster.Plane) bool {
	for _, v := range p.Pix {
		if v != 0 {
			return true
		}
	}
	return false
}
