package proof

import (
	"context"

	"tamis/pkg/color"
	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/ink"
	"tamis/pkg/pages"
	"tamis/pkg/raster"
	"tamis/pkg/separate"
)

// lightAt predicts the print's light on a raster of w x h over the whole print, row by row on all cores.
func lightAt(ctx context.Context, r *separate.Recipe, planes []*raster.Plane, w, h int) ([]color.XYZ, error) {
	if len(planes) != len(r.Plates) || len(planes) == 0 {
		return nil, fault.Newf(
			fault.Internal,
			"",
			"proof_planes",
			"%d planes for %d plates",
			len(planes),
			len(r.Plates),
		)
	}
	out := pages.Make[color.XYZ](w * h)
	cores.EachWith(h, func() *cell { return newCell(r, planes, w) }, func(c *cell, y int) {
		if ctx.Err() == nil {
			c.row(out[y*w:(y+1)*w], y, h)
		}
	})
	if ctx.Err() != nil {
		return nil, fault.Wrap(ctx.Err(), fault.Canceled, "canceled", "the proof was cancelled")
	}
	return out, nil
}

// cell predicts one proof pixel after another. One belongs to one goroutine.
type cell struct {
	stack  *ink.Stack
	planes []*raster.Plane
	tones  bool // average coverage first, then predict
	dots   bool // square dots
	cov    []float64
	last   []uint8
	light  ink.Light           // of last
	sums   []raster.ColumnSums // of the planes
	rows   [][]uint32          // of a proof pixel's rows of each plane: sums'
	across [][2]int            // the columns that each pixel of a row covers, from and to
}

func newCell(r *separate.Recipe, planes []*raster.Plane, w int) *cell {
	c := &cell{stack: r.Stack(), planes: planes, tones: true, across: make([][2]int, w)}
	for x := range c.across {
		c.across[x][0], c.across[x][1] = span(x, w, planes[0].Width)
	}
	for _, p := range r.Plates {
		c.tones = c.tones && p.Rendering == separate.Halftone
		c.dots = c.dots || p.Nearest
	}
	c.cov, c.last = make([]float64, len(planes)), make([]uint8, len(planes))
	c.light = c.stack.Light(c.cov)
	for _, p := range planes {
		c.sums = append(c.sums, raster.NewColumnSums(p.Width))
	}
	c.rows = make([][]uint32, len(planes))
	return c
}

// row fills row y of h.
func (c *cell) row(out []color.XYZ, y, h int) {
	p := c.planes[0]
	y0, y1 := span(y, h, p.Height)
	if c.tones {
		for k, p := range c.planes {
			c.rows[k] = c.sums[k].Of(p, y0, y1)
		}
	}
	for x, at := range c.across {
		if c.tones {
			out[x] = c.averaged(at[0], at[1], y1-y0)
		} else {
			out[x] = c.predicted(at[0], y0, at[1], y1)
		}
	}
}

// averaged predicts the mean coverage of some columns of the rows added up.
func (c *cell) averaged(x0, x1, rows int) color.XYZ {
	full := 1 / float64(255*(x1-x0)*rows)
	for k := range c.cov {
		sum := uint32(0)
		for _, v := range c.rows[k][x0:x1] {
			sum += v
		}
		c.cov[k] = float64(sum) * full
	}
	return c.stack.Light(c.cov).XYZ()
}

// predicted averages the light of an area's pixels.
func (c *cell) predicted(x0, y0, x1, y1 int) color.XYZ {
	sum := mean{dots: c.dots}
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			sum.add(c.pixel(y*c.planes[0].Width+x), 1)
		}
	}
	return sum.light(float64((x1 - x0) * (y1 - y0)))
}

// mean averages what lies side by side: dots in the model's roots of light, since light spreads from one to the next;
// shapes, which are larger than that, in light itself.
type mean struct {
	dots bool
	sum  [3]float64
}

func (m *mean) add(l ink.Light, weight float64) {
	v := [3]float64(l)
	if !m.dots {
		x := l.XYZ()
		v = [3]float64{x.X, x.Y, x.Z}
	}
	for c := range 3 {
		m.sum[c] += float64(weight * v[c])
	}
}

// light is the mean of what was added, total being the sum of the weights.
func (m *mean) light(total float64) color.XYZ {
	for c := range 3 {
		m.sum[c] /= total
	}
	if m.dots {
		return ink.Light(m.sum).XYZ()
	}
	return color.XYZ{X: m.sum[0], Y: m.sum[1], Z: m.sum[2]}
}

// pixel predicts one pixel; the last one is remembered, since solid shapes repeat.
func (c *cell) pixel(i int) ink.Light {
	same := true
	for k, p := range c.planes {
		if v := p.Pix[i]; v != c.last[k] {
			same, c.last[k], c.cov[k] = false, v, float64(v)/255
		}
	}
	if !same {
		c.light = c.stack.Light(c.cov)
	}
	return c.light
}

// span is the source range of cell i of n over size pixels: never empty.
func span(i, n, size int) (from, to int) {
	from, to = i*size/n, (i+1)*size/n
	return min(from, size-1), max(to, min(from, size-1)+1)
}
