package artwork

import (
	"context"
	"sync"

	"tamis/pkg/cores"
)

// arrival is how far the rows of a picture have come that is decoded while others work on it.
type arrival struct {
	group *cores.Group // of the one who decodes
	stop  context.CancelFunc

	mu    sync.Mutex // guards the rest
	moved *sync.Cond
	rows  int // that are there
	ended bool
}

// arriving starts to decode: read makes the rows, tells of each stretch of them by came, and gives the fault if it has
// to stop.
func arriving(ctx context.Context, read func(ctx context.Context, came func(rows int)) error) *arrival {
	ctx, stop := context.WithCancel(ctx)
	group, ctx := cores.NewGroup(ctx)
	a := &arrival{group: group, stop: stop}
	a.moved = sync.NewCond(&a.mu)
	group.Go(func() error {
		defer stop()
		defer a.tell(0, true)
		return read(ctx, func(rows int) { a.tell(rows, false) })
	})
	return a
}

// tell notes that so many rows are there, or that no more will come.
func (a *arrival) tell(rows int, ended bool) {
	a.mu.Lock()
	a.rows, a.ended = max(a.rows, rows), a.ended || ended
	a.mu.Unlock()
	a.moved.Broadcast()
}

// Await waits until the first so many rows are there; false where they will not come, which Whole says why, or ctx ended
// before they did. Of a picture that Decode gave, all are.
func (m *Image) Await(ctx context.Context, rows int) bool {
	a := m.arrival
	if a == nil {
		return true
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.rows >= rows || a.ended {
		return a.rows >= rows
	}
	defer context.AfterFunc(ctx, func() { a.tell(0, false) })() // wakes the waiting
	for a.rows < rows && !a.ended && ctx.Err() == nil {
		a.moved.Wait()
	}
	return a.rows >= rows
}

// Whole waits for all rows and gives the fault of a file that did not have them.
func (m *Image) Whole() error {
	if m.arrival == nil {
		return nil
	}
	return m.arrival.group.Wait()
}

// Drop ends the decoding of a picture that is still arriving, and waits for its end: whoever opened one drops it when
// done. One that is whole stays as it is.
func (m *Image) Drop() {
	if m.arrival != nil {
		m.arrival.stop()
		_ = m.arrival.group.Wait() // who wanted the rows was told
	}
}
