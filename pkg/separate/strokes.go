package separate

import (
	"context"
	"math"
	"slices"

	"tamis/pkg/artwork"
	"tamis/pkg/cores"
	"tamis/pkg/pages"
	"tamis/pkg/raster"
)

// Figures of the search for thin strokes, against the choke's radius. Ours; the choke tests hold them.
const (
	thinPart = 1.25 // a stroke whose half width is under this part of it is thin: the choke would leave a thread or none
	// A tip narrower than this is a stroke as well; corners wider are none: there the choke leaves what it leaves.
	tipDeg     = 24
	thinSpan   = 3   // the thin part of a stroke begins no farther than this from where it is seen to be one
	cornerLeft = 1.6 // a stroke's own corners lie within this of its middle: 1.41 where they are square
	finePX     = 2   // pixels that the thin half width is looked at with, at the least where the artwork has them
	seenPX     = 1.5 // pixels that distances between pixel centres may be out by
)

// thinSteps are the parts of the choke that thin strokes get, the first that leaves half the stroke or more.
var thinSteps = [...]float64{0.5, 0.25, 0.125, 0}

// held is the part of a shape an underbase may fill: the shape choked by rx, ry pixels, with what strokes too thin for
// that keep. thin is the box about those, zero where there are none. When ctx has ended the result is of no use.
func held(ctx context.Context, shape *raster.Plane, rx, ry float64) (inside *raster.Plane, thin artwork.Box) {
	part := max(1, math.Floor(thinPart*min(rx, ry)/finePX))
	if part == 1 {
		s := newStrokes(ctx, shape, rx, ry)
		inside = s.depth.Plane(rx)
		s.keep(inside)
		s.spare(inside, shape)
		return inside, s.box
	}
	inside = raster.Shrink(ctx, shape, rx, ry)
	small := raster.Reduce(shape, int(math.Ceil(float64(shape.Width)/part)), int(math.Ceil(float64(shape.Height)/part)))
	kx, ky := float64(small.Width)/float64(shape.Width), float64(small.Height)/float64(shape.Height)
	if ctx.Err() != nil {
		return inside, thin
	}
	s := newStrokes(ctx, small, rx*kx, ry*ky)
	kept := raster.NewPlane(small.Width, small.Height)
	s.keep(kept)
	s.spare(kept, small)
	if anyInk(kept) {
		mergeScaled(inside, kept)
	}
	b := s.box
	return inside, artwork.Box{int(float64(b[0]) / kx), int(float64(b[1]) / ky),
		min(int(math.Ceil(float64(b[2])/kx)), shape.Width), min(int(math.Ceil(float64(b[3])/ky)), shape.Height)}
}

// strokes finds what of a shape is too thin for a choke.
type strokes struct {
	depth  *raster.Depth
	radius float64     // of the choke, in pixels along x
	reach  float64     // of depth
	tall   float64     // a pixel's height in its widths
	level  []uint8     // of each pixel: 0 not thin, k: it gets thinSteps[k-1]
	box    artwork.Box // about the thin pixels
}

func newStrokes(ctx context.Context, shape *raster.Plane, rx, ry float64) *strokes {
	s := &strokes{radius: rx, tall: rx / ry, level: pages.Make[uint8](len(shape.Pix))}
	s.reach = thinPart*rx + 2*max(1, s.tall)
	s.depth = raster.NewDepth(ctx, shape, s.reach, s.tall)
	return s
}

// keep lays what the strokes keep of the underbase over onto.
func (s *strokes) keep(onto *raster.Plane) {
	if !s.find() {
		return
	}
	cores.Ranges(len(s.level), func(from, to int) {
		for i := from; i < to; i++ {
			if l := s.level[i]; l > 0 {
				onto.Pix[i] = max(onto.Pix[i], s.depth.Tone(i, thinSteps[l-1]*s.radius))
			}
		}
	})
}

// spare keeps all of what is no shape at all: hairlines that cover half of no pixel, far from any outline.
func (s *strokes) spare(inside, shape *raster.Plane) {
	none := -int16(s.reach*raster.DepthUnit) + 1
	cores.Ranges(len(shape.Pix), func(from, to int) {
		for i := from; i < to; i++ {
			if s.depth.Pix[i] <= none && shape.Pix[i] >= bareTone {
				inside.Pix[i] = 255
			}
		}
	})
}

// find marks the thin pixels with their levels and tells whether there are any.
//
// Ours: let E be the distance from the part of the shape that is at least as deep as R, the half width of a stroke that
// is not thin. In a corner of 2 phi, a pixel of depth D has E <= (R-D)/sin phi; so what lies farther is a stroke.
func (s *strokes) find() bool {
	thick, steep := thinPart*s.radius, 1/math.Sin(tipDeg/2*math.Pi/180)
	seeds := raster.NewPlane(s.depth.Width, s.depth.Height)
	s.seed(s.from(s.deeper(thick), seenPX+steep*thick), seeds, thick, steep)
	if !anyInk(seeds) {
		clear(s.level)
		return false
	}
	reach := thinSpan*thick + seenPX
	span := s.from(seeds, reach)
	cores.Ranges(len(span), func(from, to int) {
		for i := from; i < to; i++ {
			if float64(span[i]) > reach {
				s.level[i] = 0
			}
		}
	})
	s.bound()
	s.grade()
	return true
}

// seed marks pixels that are of a stroke for sure in seeds, and with level 1 all that no stroke of half width thick
// reaches, far being the distance from such.
func (s *strokes) seed(far []float32, seeds *raster.Plane, thick, steep float64) {
	outside := -1.5 * max(1, s.tall) // the soft edge of what is kept
	cores.Ranges(len(far), func(from, to int) {
		for i := from; i < to; i++ {
			d, f := s.at(i), float64(far[i])
			if f > thick && d > outside {
				s.level[i] = 1
			}
			if d > 0 && d < thick && f > seenPX+float64(steep*(thick-d)) {
				seeds.Pix[i] = 255
			}
		}
	})
}

// grade moves thin pixels on to the first level that leaves them half their stroke.
func (s *strokes) grade() {
	for k, part := range thinSteps[:len(thinSteps)-1] {
		least := 2 * part * s.radius // half width that the level asks for
		far := s.from(s.deeper(least), cornerLeft*least+seenPX)
		cores.Ranges(len(far), func(from, to int) {
			for i := from; i < to; i++ {
				if int(s.level[i]) == k+1 && math.IsInf(float64(far[i]), 1) {
					s.level[i]++
				}
			}
		})
	}
}

// at is the depth of pixel i, in pixels along x.
func (s *strokes) at(i int) float64 { return float64(s.depth.Pix[i]) / raster.DepthUnit }

// deeper marks the pixels at least so deep.
func (s *strokes) deeper(depth float64) *raster.Plane {
	p, least := raster.NewPlane(s.depth.Width, s.depth.Height), int16(math.Ceil(depth*raster.DepthUnit))
	cores.Ranges(len(p.Pix), func(from, to int) {
		for i, d := range s.depth.Pix[from:to] {
			if d >= least {
				p.Pix[from+i] = 255
			}
		}
	})
	return p
}

// from gives each pixel's distance from the marked ones, in pixels along x, +Inf past the limit.
func (s *strokes) from(marked *raster.Plane, limit float64) []float32 {
	return raster.DistanceWithin(marked, 1, s.tall, limit)
}

func anyInk(p *raster.Plane) bool {
	return slices.ContainsFunc(p.Pix, func(v uint8) bool { return v != 0 })
}

// bound finds the box about the thin pixels.
func (s *strokes) bound() {
	b := artwork.Box{s.depth.Width, s.depth.Height, 0, 0}
	for y := range s.depth.Height {
		row := s.level[y*s.depth.Width : (y+1)*s.depth.Width]
		if left := slices.Index(row, 1); left >= 0 {
			right := len(row) - 1
			for row[right] == 0 {
				right--
			}
			b = artwork.Box{min(b[0], left), min(b[1], y), max(b[2], right+1), y + 1}
		}
	}
	s.box = b
}

// mergeScaled lays p, enlarged by straight lines to the size of onto, over it: the larger tone stays.
func mergeScaled(onto, p *raster.Plane) {
	across := raster.NewAxis(p.Width, onto.Width, float64(onto.Width), 1, 0)
	down := raster.NewAxis(p.Height, onto.Height, float64(onto.Height), 1, 0)
	cores.Ranges(onto.Height, func(from, to int) {
		for y := from; y < to; y++ {
			at, w := int(down.Index[y]), int(down.Weight[y])
			upper, lower := p.Row(at), p.Row(min(at+1, p.Height-1))
			row := onto.Row(y)
			for x := range row {
				a, v := int(across.Index[x]), int(across.Weight[x])
				b := min(a+1, p.Width-1)
				top, bottom := int(upper[a])*(32-v)+int(upper[b])*v, int(lower[a])*(32-v)+int(lower[b])*v
				row[x] = max(row[x], uint8((top*(32-w)+bottom*w+512)>>10))
			}
		}
	})
}
