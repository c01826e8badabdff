package cores

import (
	"context"

	"golang.org/x/sync/errgroup"
)

// Group is functions at work side by side that can fail: errgroup.Group, but that a panic of one stops the others and
// is raised again by Wait. Make it by NewGroup.
type Group struct {
	errs  *errgroup.Group
	first firstPanic
}

// NewGroup gives a group, and the context its functions take: it ends with the first that fails or panics, and with
// Wait.
func NewGroup(ctx context.Context) (*Group, context.Context) {
	errs, ctx := errgroup.WithContext(ctx)
	return &Group{errs: errs}, ctx
}

// Limit lets at most n functions run at once: Go waits. Call it before Go.
func (g *Group) Limit(n int) { g.errs.SetLimit(n) }

// Go calls work on a goroutine of its own.
func (g *Group) Go(work func() error) {
	g.errs.Go(func() (err error) {
		defer func() {
			if p := g.first.keep(recover()); p != nil {
				err = p // ends the context, so that nobody waits for what never comes
			}
		}()
		return work()
	})
}

// Wait waits for all and gives the first error. A panic is raised, even where another had failed before.
func (g *Group) Wait() error {
	err := g.errs.Wait()
	g.first.raise()
	return err
}
