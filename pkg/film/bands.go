package film

import (
	"context"
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

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

// writeRows makes the rows band by band on all cores and writes the joined code to out, in order. It gives the ink
// pixels of the print box.
func (l *Layout) writeRows(ctx context.Context, p Plate, out *tiff, progress func(rowsDone, rows int)) (int, error) {
	bands := (l.HeightPX + bandRows - 1) / bandRows
	workers := min(runtime.GOMAXPROCS(0), bands)
	slots := 2 * workers // bands under way or waiting to be written: what bounds memory
	free := make(chan *band, slots)
	ready := make([]chan *band, slots)
	for i := range slots {
		ready[i] = make(chan *band, 1)
		free <- new(band)
	}
	group, ctx := errgroup.WithContext(ctx)
	shared := l.newShared(p)
	var next atomic.Int64
	for range workers {
		group.Go(func() error {
			m := shared.newMaker()
			for {
				b := <-free // first the slot, then the number: so the lowest band under way always has a slot
				n := int(next.Add(1)) - 1
				if n >= bands {
					free <- b
					return nil
				}
				if ctx.Err() != nil {
					return canceled(ctx)
				}
				m.make(b, n*bandRows, min((n+1)*bandRows, l.HeightPX))
				ready[n%slots] <- b
			}
		})
	}
	ink := 0
	group.Go(func() (err error) {
		ink, err = l.join(ctx, out, bands, ready, free, progress)
		return err
	})
	return ink, group.Wait()
}

// join writes the bands in order as one strip.
func (l *Layout) join(ctx context.Context, out *tiff, bands int, ready []chan *band, free chan *band,
	progress func(rowsDone, rows int)) (ink int, err error) {
	var strip bitBuffer
	for n := range bands {
		var b *band
		select {
		case b = <-ready[n%len(ready)]:
		case <-ctx.Done():
			return 0, canceled(ctx)
		}
		ink += b.ink
		strip.appendBits(&b.code)
		free <- b
		if n == bands-1 {
			strip.endOfBlock()
		}
		if err := out.code(strip.bytes[:strip.n]); err != nil {
			return 0, err
		}
		strip.n = 0
		if progress != nil {
			progress(min((n+1)*bandRows, l.HeightPX), l.HeightPX)
		}
	}
	return ink, nil
}

// canceled is the fault of work that was told to stop.
func canceled(ctx context.Context) error {
	return fault.Wrap(context.Cause(ctx), fault.Canceled, "canceled", "the work was cancelled")
}
