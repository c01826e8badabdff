package separate

import (
	"context"
	"encoding/binary"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/raster"
)

// separation runs every pixel, laid over the garment as its alpha says, through the table.
func (t *tones) separation(
	ctx context.Context,
	img *artwork.Image,
	progress func(done, total int),
) (*Separation, error) {
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
	s := plain(out)
	if t.choke != nil {
		s.Findings = t.choke.hold(ctx, out)
	}
	if ctx.Err() != nil {
		return nil, canceled(ctx.Err())
	}
	return s, nil
}

// row separates one row; equal neighbours are looked up once. What a byte cannot hold of a tone is spread over the
// pixels around by ordered rounding: in the dark a step of 1/255 of white ink on black cloth would show.
func (t *tones) row(img *artwork.Image, out []*raster.Plane, y int) {
	var now tone // last is transparent black: bare
	var cov [MaxScreens + 4]uint8
	last := uint32(0)
	src := img.Pix[4*y*img.Width:]
	ups := &orderedRounding[y%len(orderedRounding)]
	for x := range img.Width {
		if px := binary.LittleEndian.Uint32(src[4*x:]); px != last {
			last = px
			t.pixel([4]uint8(src[4*x:4*x+4]), &now)
		}
		t.lookup.rounded(&now, ups[x%len(ups)], cov[:])
		i := y*img.Width + x
		for k, p := range out {
			p.Pix[i] = cov[k]
		}
	}
}

// orderedRounding is from which fraction of a step, 0..65535, a pixel is rounded up.
//
// Source: B. E. Bayer, IEEE ICC 1973, the 4 x 4 matrix, put at the middles of its 16 steps.
var orderedRounding = [4][4]uint16{
	{2048, 34816, 10240, 43008},
	{51200, 18432, 59392, 26624},
	{14336, 47104, 6144, 38912},
	{63488, 30720, 55296, 22528},
}

func (t *tones) pixel(p [4]uint8, now *tone) {
	if p[3] == 0 {
		*now = tone{}
		return
	}
	t.lookup.mix(blend(p, t.ground), now)
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
