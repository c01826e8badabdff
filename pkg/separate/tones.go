package separate

import (
	"context"
	"encoding/binary"
	"sync"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/kernel"
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
	mix := kernel.Fastest(mixVariants, mixGeneric)
	room := sync.Pool{New: func() any { return t.newRows(img, mix) }}
	err := rowsInParallel(ctx, img.Height, progress, func(y0, y1 int) {
		if !img.Await(ctx, y1) {
			return // ctx or Whole says why
		}
		r := room.Get().(*rows)
		defer room.Put(r)
		for y := y0; y < y1; y++ {
			r.separate(out, y)
		}
	})
	if err == nil {
		err = img.Whole()
	}
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

// rows separates a picture's rows one at a time, in its own room.
type rows struct {
	*tones
	img   *artwork.Image
	mix   mixKernel
	laid  []byte   // the row's pixels over the garment
	mixed []uint64 // the tones of a group of inks
	spare []uint8  // a row for those that a group has not
}

func (t *tones) newRows(img *artwork.Image, mix mixKernel) *rows {
	room := img.Width + mixSlack
	return &rows{tones: t, img: img, mix: mix, laid: make([]byte, 4*room), mixed: make([]uint64, room),
		spare: make([]uint8, img.Width)}
}

// separate makes one row of all planes. What a byte cannot hold of a tone is spread over the pixels around by ordered
// rounding: in the dark a step of 1/255 of white ink on black cloth would show.
func (r *rows) separate(out []*raster.Plane, y int) {
	src := r.img.Pix[4*y*r.img.Width:][:4*r.img.Width]
	bare := r.lay(src)
	for g, group := range r.lookup.groups {
		r.mix(r.mixed, r.laid, r.img.Width, &r.lookup.steps, group, &orderedRounding[y%len(orderedRounding)])
		if bare {
			for x := range r.img.Width {
				if src[4*x+3] == 0 {
					r.mixed[x] = 0
				}
			}
		}
		var rows [groupInks][]uint8
		for k := range rows {
			rows[k] = r.spare
			if at := g*groupInks + k; at < len(out) {
				rows[k] = out[at].Row(y)
			}
		}
		deal(&rows, r.mixed[:r.img.Width])
	}
}

// lay lays a row's pixels over the garment and tells whether some are wholly transparent.
func (r *rows) lay(src []byte) (bare bool) {
	const alpha = 0xff << 24
	if artwork.Opaque(src) {
		copy(r.laid, src)
		return false
	}
	ground := uint32(r.ground.R) | uint32(r.ground.G)<<8 | uint32(r.ground.B)<<16
	for at := 0; at < len(src); at += 4 {
		px := binary.LittleEndian.Uint32(src[at:])
		switch {
		case px >= alpha:
		case px&alpha == 0:
			bare, px = true, ground
		default:
			c := blend([4]uint8(src[at:]), r.ground)
			px = uint32(c.R) | uint32(c.G)<<8 | uint32(c.B)<<16
		}
		binary.LittleEndian.PutUint32(r.laid[at:], px)
	}
	return bare
}

// orderedRounding is the rounding of each fourth row.
//
// Source: B. E. Bayer, IEEE ICC 1973, the 4 x 4 matrix, put at the middles of its 16 steps.
var orderedRounding = [4]rounding{
	{2048, 34816, 10240, 43008},
	{51200, 18432, 59392, 26624},
	{14336, 47104, 6144, 38912},
	{63488, 30720, 55296, 22528},
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
