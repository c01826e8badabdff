package proof

import (
	"context"
	"runtime"
	"sync"

	"tamis/pkg/fault"
	"tamis/pkg/ink"
	"tamis/pkg/raster"
	"tamis/pkg/separate"
)

// lightAt predicts the print's light on a raster of w x h over the whole print, row by row on all cores.
func lightAt(ctx context.Context, r *separate.Recipe, planes []*raster.Plane, w, h int) ([]ink.Light, error) {
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
	out := make([]ink.Light, w*h)
	var wg sync.WaitGroup
	parts := runtime.GOMAXPROCS(0)
	for part := range parts {
		wg.Add(1)
		go func() {
			defer wg.Done()
			c := newCell(r, planes)
			for y := part; y < h && ctx.Err() == nil; y += parts {
				c.row(out[y*w:(y+1)*w], y, h)
			}
		}()
	}
	wg.Wait()
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
	cov    []float64
	last   []uint8
	light  ink.Light // of last
}

func newCell(r *separate.Recipe, planes []*raster.Plane) *cell {
	c := &cell{stack: r.Stack(), planes: planes, tones: true}
	for _, p := range r.Plates {
		c.tones = c.tones && p.Rendering == separate.Halftone
	}
	c.cov, c.last = make([]float64, len(planes)), make([]uint8, len(planes))
	c.light = c.stack.Light(c.cov)
	return c
}

// row fills row y of h.
func (c *cell) row(out []ink.Light, y, h int) {
	p := c.planes[0]
	y0, y1 := span(y, h, p.Height)
	for x := range out {
		x0, x1 := span(x, len(out), p.Width)
		if c.tones {
			out[x] = c.averaged(x0, y0, x1, y1)
		} else {
			out[x] = c.predicted(x0, y0, x1, y1)
		}
	}
}

// averaged predicts the mean coverage of an area.
func (c *cell) averaged(x0, y0, x1, y1 int) ink.Light {
	for k, p := range c.planes {
		sum := 0
		for y := y0; y < y1; y++ {
			for _, v := range p.Pix[y*p.Width+x0 : y*p.Width+x1] {
				sum += int(v)
			}
		}
		c.cov[k] = float64(sum) / 255 / float64((x1-x0)*(y1-y0))
	}
	return c.stack.Light(c.cov)
}

// predicted averages the light of an area's pixels.
func (c *cell) predicted(x0, y0, x1, y1 int) ink.Light {
	var sum ink.Light
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			l := c.pixel(y*c.planes[0].Width + x)
			for k := range sum {
				sum[k] += l[k]
			}
		}
	}
	for k := range sum {
		sum[k] /= float64((x1 - x0) * (y1 - y0))
	}
	return sum
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
