package film

import (
	"context"
	"runtime"
	"sync/atomic"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
)

// bandRows is how many rows are made between two looks at ctx: 90 bands on a 16 inch film at 1440 dpi, so that two
// cores end within a hundredth of one another.
const bandRows = 256

// band is one run of rows, coded. A row's code depends on the row above alone, not on the code above, so bands are
// made side by side and their bits joined: the strip is the same however it was cut.
type band struct {
	code bitBuffer
	ink  int // ink pixels of the print box
}

// line is the bands on their way from the workers to the strip.
type line struct {
	bands int
	next  atomic.Int64 // the number of the next band to make
	free  chan *band   // slots: what bounds memory
	ready []chan *band // made, band n in ready[n % len(ready)]
}

func newLine(bands, workers int) *line {
	slots := 2 * workers // under way, or waiting to be written
	ln := &line{bands: bands, free: make(chan *band, slots), ready: make([]chan *band, slots)}
	for i := range slots {
		ln.ready[i] = make(chan *band, 1)
		ln.free <- new(band)
	}
	return ln
}

// writeRows makes the rows band by band on all cores and writes the joined code to out, in order. It gives the ink
// pixels of the print box.
func (l *Layout) writeRows(ctx context.Context, p Plate, out *tiff, progress func(rowsDone, rows int)) (int, error) {
	bands := (l.HeightPX + bandRows - 1) / bandRows
	workers := min(runtime.GOMAXPROCS(0), bands)
	ln := newLine(bands, workers)
	shared := l.newShared(p)
	group, ctx := cores.NewGroup(ctx)
	for range workers {
		group.Go(func() error { return ln.work(ctx, shared.newMaker()) })
	}
	ink := 0
	group.Go(func() (err error) {
		ink, err = ln.join(ctx, l.HeightPX, out, progress)
		return err
	})
	return ink, group.Wait()
}

// work makes bands until none is left. A worker first takes a slot and then a number, so that the lowest band under
// way always has a slot and the line never stands still.
func (ln *line) work(ctx context.Context, m *maker) error {
	for {
		var b *band
		select {
		case b = <-ln.free:
		case <-ctx.Done():
			return canceled(ctx)
		}
		n := int(ln.next.Add(1)) - 1
		if n >= ln.bands {
			ln.free <- b
			return nil
		}
		m.make(b, n*bandRows, min((n+1)*bandRows, m.l.HeightPX))
		ln.ready[n%len(ln.ready)] <- b
	}
}

// join writes the bands in order as one strip.
func (ln *line) join(ctx context.Context, rows int, out *tiff, progress func(rowsDone, rows int)) (ink int, err error) {
	var strip bitBuffer
	for n := range ln.bands {
		var b *band
		select {
		case b = <-ln.ready[n%len(ln.ready)]:
		case <-ctx.Done():
			return 0, canceled(ctx)
		}
		if ctx.Err() != nil { // select may have seen the band first
			return 0, canceled(ctx)
		}
		ink += b.ink
		strip.appendBits(&b.code)
		ln.free <- b
		if n == ln.bands-1 {
			strip.endOfBlock()
		}
		if err := out.code(strip.bytes[:strip.n]); err != nil {
			return 0, err
		}
		strip.n = 0
		if progress != nil {
			progress(min((n+1)*bandRows, rows), rows)
		}
	}
	return ink, nil
}

// canceled is the fault of work that was told to stop.
func canceled(ctx context.Context) error {
	return fault.Wrap(context.Cause(ctx), fault.Canceled, "canceled", "the work was cancelled")
}
