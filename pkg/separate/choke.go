package separate

import (
	"context"
	"fmt"

	"tamis/pkg/artwork"
	"tamis/pkg/cores"
	"tamis/pkg/kernel"
	"tamis/pkg/raster"
)

// choke holds the underbase back from the print's edge where colour covers it, so that it does not peep out when the
// screens are out of register.
type choke struct {
	base              int // index of the underbase's plane
	chokeMM           float64
	widthMM, heightMM float64 // of the print: gives the pixel's size
}

// cutHold is hold for an underbase that is cut: its edge lies where the choke says, to a part of a pixel.
func (c *choke) cutHold(ctx context.Context, planes []*raster.Plane) []artwork.Finding {
	return c.apply(ctx, planes, func(u, inside uint32) uint32 { return min(u, inside) })
}

// hold cuts planes[base] in place and says what it could not hold back as far as asked.
//
// Where the underbase itself shows (no ink over it) nothing is cut: there it is the picture. Only sharp borders are
// held back from; in a fade the underbase fades as well. Strokes too thin for the choke keep part of it: see strokes.
// When ctx ends the planes are left as they are.
func (c *choke) hold(ctx context.Context, planes []*raster.Plane) []artwork.Finding {
	return c.apply(ctx, planes, func(u, inside uint32) uint32 { return u * inside / 255 })
}

// apply is hold with the rule for the tone that stays of u where the choke leaves so much.
func (c *choke) apply(
	ctx context.Context,
	planes []*raster.Plane,
	rule func(u, inside uint32) uint32,
) []artwork.Finding {
	base := planes[c.base]
	rx, ry := c.radiusOf(c.chokeMM, base.Width, base.Height)
	if rx <= 0 || ry <= 0 {
		return nil
	}
	cover := c.cover(planes)
	inside, thin := held(ctx, sharpShape(cover, base), rx, ry)
	if ctx.Err() != nil {
		return nil
	}
	cores.Ranges(len(base.Pix), func(from, to int) {
		for i := from; i < to; i++ {
			u := uint32(base.Pix[i])
			if u == 0 || inside.Pix[i] == 255 {
				continue
			}
			cut, over := rule(u, uint32(inside.Pix[i])), min(uint32(cover.Pix[i]), u) // over: what of u is covered
			base.Pix[i] = uint8((cut*over + u*(u-over) + u/2) / u)
		}
	})
	return c.say(thin)
}

// say tells of strokes that keep more underbase than the choke leaves.
func (c *choke) say(thin artwork.Box) []artwork.Finding {
	if thin == (artwork.Box{}) {
		return nil
	}
	return []artwork.Finding{{Code: "underbase_narrows", Severity: artwork.Info, Box: thin,
		Message: fmt.Sprintf("strokes under %.2g mm do not bear a choke of %.2g mm a side: there the underbase is held "+
			"back by half of it or less", 2*thinPart*c.chokeMM, c.chokeMM),
		Remedy: "where it peeps out on press, thicken the strokes or register tighter and choke less"}}
}

// cover is how much ink lies over the underbase.
func (c *choke) cover(planes []*raster.Plane) *raster.Plane {
	out := raster.NewPlane(planes[0].Width, planes[0].Height)
	heap := kernel.Fastest(edgeVariants, plainEdges).heap
	cores.Ranges(out.Height, func(from, to int) {
		for y := from; y < to; y++ {
			for k, p := range planes {
				if k != c.base {
					heap(out.Row(y), p.Row(y))
				}
			}
		}
	})
	return out
}

// radiusOf is a length in pixels along x and y; 0 where the print's size is unknown.
func (c *choke) radiusOf(mm float64, width, height int) (rx, ry float64) {
	if c.widthMM <= 0 || c.heightMM <= 0 {
		return 0, 0
	}
	return mm * float64(width) / c.widthMM, mm * float64(height) / c.heightMM
}
