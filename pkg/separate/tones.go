package separate

import (
	"context"
	"encoding/binary"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/raster"
)

// planes runs every pixel, laid over the garment as its alpha says, through the table.
func (t *tones) planes(
	ctx context.Context,
	img *artwork.Image,
	progress func(done, total int),
) ([]*raster.Plane, error) {
	out := make([]*raster.Plane, t.lookup.inks)
	for i := range out {
		out[i] = raster.NewPlane(img.Width, img.Height)
	}
	err := rowsInParallel(ctx, img.Height, progress, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			t.row(img, out, y)
		}
	})
	if err != nil {
		return nil, err
	}
	if t.choke != nil {
		t.choke.hold(ctx, out)
	}
	if ctx.Err() != nil {
		return nil, canceled(ctx.Err())
	}
	return out, nil
}

// row separates one row; equal neighbours are separated once.
func (t *tones) row(img *artwork.Image, out []*raster.Plane, y int) {
	var cov [MaxScreens + 2]uint8
	last := uint32(0) // transparent black: cov starts bare
	src := img.Pix[4*y*img.Width:]
	for x := range img.Width {
		if px := binary.LittleEndian.Uint32(src[4*x:]); px != last {
			last = px
			t.pixel([4]uint8(src[4*x:4*x+4]), cov[:])
		}
		i := y*img.Width + x
		for k, p := range out {
			p.Pix[i] = cov[k]
		}
	}
}

func (t *tones) pixel(p [4]uint8, cov []uint8) {
	if p[3] == 0 {
		clear(cov)
		return
	}
	t.lookup.at(blend(p, t.ground), cov)
}

// blend lays a straight pixel over the garment, in sRGB codes, rounded to the nearest.
func blend(p [4]uint8, g color.RGB8) color.RGB8 {
	if p[3] == 255 {
		return color.RGB8{R: p[0], G: p[1], B: p[2]}
	}
	a := uint32(p[3])
	mix := func(v, under uint8) uint8 { return uint8((uint32(v)*a + uint32(under)*(255-a) + 127) / 255) }
	return color.RGB8{R: mix(p[0], g.R), G: mix(p[1], g.G), B: mix(p[2], g.B)}
}
