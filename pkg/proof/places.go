package proof

import (
	"context"
	"runtime"

	"tamis/pkg/color"
	"tamis/pkg/cores"
	"tamis/pkg/raster"
)

// placeRows is how many proof rows are read before they are predicted: a hundred bands a proof or so, whose bits stay
// in the second cache.
const placeRows = 16

// places predicts the light of every proof pixel from the tints and from the bits of the plates at exact places.
func (f *filmed) places(ctx context.Context, out []color.XYZ) error {
	sources := make([]*source, len(f.exact))
	bands := make([]*raster.Bitmap, len(f.exact))
	_, most := span(placeRows-1, f.height, f.box[1])
	for k, i := range f.exact {
		var err error
		if sources[k], err = f.open(i); err != nil {
			return err
		}
		bands[k] = raster.NewBitmap(f.box[0], most+placeRows)
	}
	workers := make([]*placer, runtime.GOMAXPROCS(0))
	for i := range workers {
		workers[i] = f.newPlacer(bands)
	}
	for y := 0; y < f.height; y += placeRows {
		if err := ctx.Err(); err != nil {
			return err
		}
		end := min(y+placeRows, f.height)
		if err := f.fill(sources, bands, y, end); err != nil {
			return err
		}
		cores.Each(len(workers), func(part int) {
			for row := y + part; row < end; row += len(workers) {
				workers[part].row(out[row*f.width:(row+1)*f.width], row, y)
			}
		})
	}
	return nil
}

// fill reads the device rows of proof rows y..end-1, the films side by side.
func (f *filmed) fill(sources []*source, bands []*raster.Bitmap, y, end int) error {
	from, _ := span(y, f.height, f.box[1])
	_, to := span(end-1, f.height, f.box[1])
	return cores.TryRanges(len(sources), func(first, last int) error {
		for k := first; k < last; k++ {
			for row := range to - from {
				if err := sources[k].next(bands[k].Row(row)); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// placer predicts proof pixels. One belongs to one goroutine.
type placer struct {
	*filmed
	bands []*raster.Bitmap
	cov   []float64
	count []int // device pixels of the proof pixel that show each set of inks; bit k of a set is plate exact[k]
	seen  []int // the sets that are there, in the order met
}

func (f *filmed) newPlacer(bands []*raster.Bitmap) *placer {
	return &placer{filmed: f, bands: bands, cov: make([]float64, len(f.films)), count: make([]int, 1<<len(f.exact))}
}

// row fills proof row y of a band that begins at proof row first.
func (p *placer) row(out []color.XYZ, y, first int) {
	top, _ := span(first, p.height, p.box[1])
	y0, y1 := span(y, p.height, p.box[1])
	for x := range out {
		x0, x1 := span(x, p.width, p.box[0])
		for i, t := range p.tints {
			if t != nil {
				p.cov[i] = float64(t[y*p.width+x]) / 65535
			}
		}
		for row := y0 - top; row < y1-top; row++ {
			p.sets(row, x0, x1)
		}
		out[x] = p.mean((x1 - x0) * (y1 - y0))
	}
}

// sets counts the sets of inks in columns x0..x1-1 of a row: at once where every plate is solid or bare.
func (p *placer) sets(row, x0, x1 int) {
	set := 0
	for k, b := range p.bands {
		switch raster.CountBits(b.Row(row), x0, x1) {
		case 0:
		case x1 - x0:
			set |= 1 << k
		default:
			p.each(row, x0, x1)
			return
		}
	}
	p.add(set, x1-x0)
}

// each counts device pixel by device pixel.
func (p *placer) each(row, x0, x1 int) {
	for x := x0; x < x1; x++ {
		set := 0
		for k, b := range p.bands {
			set |= int(b.Row(row)[x>>6]>>(x&63)&1) << k
		}
		p.add(set, 1)
	}
}

func (p *placer) add(set, n int) {
	if p.count[set] == 0 {
		p.seen = append(p.seen, set)
	}
	p.count[set] += n
}

// mean is the light of the counted sets, each by its share of area device pixels; it forgets them.
func (p *placer) mean(area int) color.XYZ {
	sum := mean{dots: p.dots}
	for _, set := range p.seen {
		for k, i := range p.exact {
			p.cov[i] = float64(set >> k & 1)
		}
		sum.add(p.stack.Light(p.cov), float64(p.count[set]))
		p.count[set] = 0
	}
	p.seen = p.seen[:0]
	return sum.light(float64(area))
}
