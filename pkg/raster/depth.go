package raster

import (
	"context"
	"math"

	"tamis/pkg/cores"
	"tamis/pkg/pages"
)

// Depth is how deep each pixel lies inside a shape: the exact distance to its outline, negative outside, in 1/128 of
// a pixel along x, held at the reach it was made with. Pix has the plane's layout.
type Depth struct {
	Width, Height int
	Pix           []int16
	farthest      int16   // the reach in those steps
	ramp          float64 // pixels along x that Plane's soft edge extends to either side
}

// DepthUnit is how many steps of Depth a pixel along x has.
const DepthUnit = 128

// MaxReach is the farthest that depths are found, in pixels along x: the cost rises with its square.
const MaxReach = 250

// NewDepth measures p, a shape with soft edges, up to reach pixels along x; tall is the height of a pixel in its
// widths. What lies outside the plane is as its border: a shape that runs off the plane has no edge there. reach is
// cut to MaxReach. ctx is asked every row; when it has ended, what comes back is of no use.
//
// Ours: pieces of outline are measured to the pixels about them, nearest wins. TestDepthsOfKnownShapesAreExact holds
// it to 0.04 px, for edges at any angle, corners apart: art rounds a corner off by a third of a pixel.
func NewDepth(ctx context.Context, p *Plane, reach, tall float64) *Depth {
	reach = min(reach, MaxReach)
	d := &Depth{Width: p.Width, Height: p.Height, Pix: pages.Make[int16](len(p.Pix)), ramp: max(1, tall),
		farthest: int16(reach*DepthUnit + 0.5)}
	cores.Ranges((p.Height+depthRows-1)/depthRows, func(from, to int) {
		b := &depthBand{p: p, reach: reach, tall: tall, square: make([]float32, depthRows*p.Width)}
		for n := from; n < to && ctx.Err() == nil; n++ {
			b.measure(d, n*depthRows, min((n+1)*depthRows, p.Height))
		}
	})
	return d
}

// depthRows is how many rows are measured at once: enough that looking at the outline above and below them costs
// little, and few enough to stay in the cache.
const depthRows = 64

// depthBand measures some rows. One belongs to one goroutine.
type depthBand struct {
	p           *Plane
	reach, tall float64
	y0, y1      int
	square      []float32 // the distances squared
	near        bool      // a piece of outline is within reach of the rows
}

func (b *depthBand) measure(d *Depth, y0, y1 int) {
	b.y0, b.y1, b.near = y0, y1, false
	most, farthest := float32(b.reach*b.reach), d.farthest
	rows := int(math.Ceil(b.reach/b.tall)) + 1
	for y := max(y0-rows, 0); y < min(y1+rows, b.p.Height-1); y++ {
		outline(b.p, y, b.splat)
	}
	if !b.near && min(b.p.Width, b.p.Height) > 1 { // all on one side; a lone row or column has no outline
		steps := farthest
		if b.p.Row(y0)[0] < 128 {
			steps = -steps
		}
		for i := range d.Pix[y0*b.p.Width : y1*b.p.Width] {
			d.Pix[y0*b.p.Width+i] = steps
		}
		return
	}
	if !b.near {
		b.fill()
	}
	for i, v := range b.square[:(y1-y0)*b.p.Width] {
		at, steps := y0*b.p.Width+i, farthest
		if v < most { // most pixels of most art lie far from any outline
			steps = int16(math.Sqrt(float64(v))*DepthUnit + 0.5)
		}
		if b.p.Pix[at] < 128 {
			steps = -steps
		}
		d.Pix[at] = steps
	}
}

// fill sets all distances to the farthest.
func (b *depthBand) fill() {
	for i := range b.square {
		b.square[i] = float32(b.reach * b.reach)
	}
}

// splat brings the pixels about a piece of outline nearer to it.
func (b *depthBand) splat(s segment) {
	if !b.near {
		b.near = true
		b.fill()
	}
	ux, uy := s.bx-s.ax, (s.by-s.ay)*b.tall
	long := float64(ux*ux) + float64(uy*uy)
	if long > 0 {
		long = 1 / long
	}
	rows := b.reach / b.tall
	top := max(int(math.Ceil(min(s.ay, s.by)-rows)), b.y0)
	bottom := min(int(math.Floor(max(s.ay, s.by)+rows)), b.y1-1)
	for y := top; y <= bottom; y++ {
		vy := (float64(y) - s.ay) * b.tall
		off := (max(min(s.ay, s.by)-float64(y), float64(y)-max(s.ay, s.by), 0)) * b.tall
		wide := math.Sqrt(max(float64(b.reach*b.reach)-float64(off*off), 0))
		left := max(int(math.Ceil(min(s.ax, s.bx)-wide)), 0)
		right := min(int(math.Floor(max(s.ax, s.bx)+wide)), b.p.Width-1)
		row := b.square[(y-b.y0)*b.p.Width:]
		for x := left; x <= right; x++ {
			vx := float64(x) - s.ax
			t := min(max((float64(ux*vx)+float64(uy*vy))*long, 0), 1)
			dx, dy := vx-float64(t*ux), vy-float64(t*uy)
			if q := float32(float64(dx*dx) + float64(dy*dy)); q < row[x] {
				row[x] = q
			}
		}
	}
}

// Plane is the shape whose outline lies at this depth, in pixels along x: its 50 % contour runs there, in an edge so
// soft that cutting it finds the place to a hundredth of a pixel.
func (d *Depth) Plane(depth float64) *Plane {
	out := NewPlane(d.Width, d.Height)
	tones := make([]uint8, 2*int(d.farthest)+1) // of every depth there is
	for i := range tones {
		tones[i] = d.tone(i-int(d.farthest), depth)
	}
	cores.Ranges(d.Height, func(y0, y1 int) {
		from, to := y0*d.Width, y1*d.Width
		dst := out.Pix[from:to]
		for i, v := range d.Pix[from:to] {
			dst[i] = tones[int(v)+int(d.farthest)]
		}
	})
	return out
}

// Tone is pixel i of Plane.
func (d *Depth) Tone(i int, depth float64) uint8 { return d.tone(int(d.Pix[i]), depth) }

// tone is that of a pixel so many steps deep.
func (d *Depth) tone(steps int, depth float64) uint8 {
	v := (float64(steps) - float64(depth*DepthUnit)) * (127.5 / (d.ramp * DepthUnit))
	return uint8(min(max(float64(v)+128, 0), 255))
}

// longestReach is the largest move of an outline, in pixels, that one pass makes. Ours: what several passes of 16 cost
// rises with the move, and each adds less than 0.05 px.
const longestReach = 16

// Grow moves the outline of a shape outward by rx pixels along x and ry along y, an ellipse between them. Shrink moves
// it inward; what is thinner than twice the radius goes. Radii of 0 or less give a copy. ctx as in NewDepth.
func Grow(ctx context.Context, p *Plane, rx, ry float64) *Plane { return move(ctx, p, rx, ry, -1) }

// Shrink is Grow inward.
func Shrink(ctx context.Context, p *Plane, rx, ry float64) *Plane { return move(ctx, p, rx, ry, 1) }

// move moves an outline in equal passes: an ellipse is the Minkowski sum of smaller ones of its shape.
func move(ctx context.Context, p *Plane, rx, ry, inward float64) *Plane {
	if min(rx, ry) <= 0 {
		return &Plane{p.Width, p.Height, append([]uint8{}, p.Pix...)}
	}
	passes := math.Ceil(max(rx, ry) / longestReach)
	tall, step := rx/ry, rx/passes
	for range int(passes) {
		if ctx.Err() != nil {
			break
		}
		p = NewDepth(ctx, p, step+2*max(1, tall), tall).Plane(inward * step)
	}
	return p
}
