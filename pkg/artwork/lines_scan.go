package artwork

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
)

// linesOf measures the thin lines of every cell of a grid. Whole numbers over fixed bands, so neither the order nor the
// number of cores shows.
func linesOf(ctx context.Context, img *Image, grid *Overview, v view) (*lineTally, error) {
	total := newLineTally(img, grid)
	var mu sync.Mutex // guards total
	err := scanLines(ctx, img, v, func() (take func(mark), done func()) {
		t := newLineTally(img, grid)
		return t.take, func() {
			mu.Lock()
			defer mu.Unlock()
			total.add(t)
		}
	})
	return total, err
}

// Bands of rows (or columns) are looked through side by side, each with what lies enoughPX about it, so that a line
// across the border of two is found whole.
const bandPX = 1024

// scanLines looks for thin lines along rows and columns, on all cores. Each worker calls begin once, gives every run it
// finds to take, and calls done; runs come in no order.
func scanLines(ctx context.Context, img *Image, v view, begin func() (take func(mark), done func())) error {
	down, across := (img.Height+bandPX-1)/bandPX, (img.Width+bandPX-1)/bandPX
	var next atomic.Int64
	cores.Each(min(runtime.GOMAXPROCS(0), down+across), func(int) {
		take, done := begin()
		b := band{img: img, view: v, take: take}
		for i := int(next.Add(1)) - 1; i < down+across && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
			if i < down {
				b.rows(ctx, i*bandPX, min(img.Height, (i+1)*bandPX))
			} else {
				b.columns(ctx, (i-down)*bandPX, min(img.Width, (i-down+1)*bandPX))
			}
		}
		done()
	})
	if ctx.Err() != nil {
		return fault.Wrap(ctx.Err(), fault.Canceled, "canceled", "the inspection was cancelled")
	}
	return nil
}

// band looks through rows or columns from..to of a picture, one band after another with the same memory.
type band struct {
	img      *Image
	view     view
	take     func(mark)
	chains   chains
	from, to int
}

// scanner is a scanner whose lines are followed by the band's chains; only runs of lines from..to are passed on.
func (b *band) scanner(across bool, from, to int) *scanner {
	b.from, b.to = from, to
	b.chains.line = -2 // no line goes on from the band before
	b.chains.emit = func(m mark) {
		if at := m.line(across); at >= b.from && at < b.to {
			b.take(m)
		}
	}
	s := &scanner{img: b.img, view: b.view, across: across}
	s.emit = func(m mark) {
		if m.speck {
			b.chains.emit(m)
		} else {
			b.chains.take(m, m.line(!across))
		}
	}
	return s
}

// line is the row of a mark where rows are looked along, else its column.
func (m mark) line(across bool) int {
	if across {
		return m.y
	}
	return m.x
}

func (b *band) rows(ctx context.Context, from, to int) {
	s := b.scanner(true, from, to)
	w := b.img.Width
	s.tone = make([]uint8, w)
	if b.img.HasAlpha {
		s.alpha = make([]uint8, w)
	}
	for y := max(0, from-enoughPX); y < min(b.img.Height, to+enoughPX) && ctx.Err() == nil; y++ {
		b.view.row(b.img.Pix[4*y*w:4*(y+1)*w], s.tone, s.alpha, 1)
		s.line = y
		b.chains.next(y)
		s.look()
	}
}

// stripPX is how many columns are turned into lines at once: a cache line of pixels, and 128 kB for 4000 rows.
const stripPX = 16

func (b *band) columns(ctx context.Context, from, to int) {
	s := b.scanner(false, from, to)
	w, h := b.img.Width, b.img.Height
	pitch := h + 80 // not a power of two: the columns of a strip would share their places in the cache
	tones := make([]uint8, stripPX*pitch)
	var alphas []uint8
	if b.img.HasAlpha {
		alphas = make([]uint8, stripPX*pitch)
	}
	last := min(w, to+enoughPX)
	for x0 := max(0, from-enoughPX); x0 < last && ctx.Err() == nil; x0 += stripPX {
		n := min(stripPX, last-x0)
		b.turn(x0, n, pitch, tones, alphas)
		for i := range n {
			s.line, s.tone = x0+i, tones[i*pitch:i*pitch+h]
			if alphas != nil {
				s.alpha = alphas[i*pitch : i*pitch+h]
			}
			b.chains.next(s.line)
			s.look()
		}
	}
}

// turn makes lines, pitch apart, of n columns from x0.
func (b *band) turn(x0, n, pitch int, tones, alphas []uint8) {
	w := b.img.Width
	for y := range b.img.Height {
		row := b.img.Pix[4*(y*w+x0) : 4*(y*w+x0+n)]
		if alphas == nil {
			b.view.row(row, tones[y:], nil, pitch)
		} else {
			b.view.row(row, tones[y:], alphas[y:], pitch)
		}
	}
}
