// Package work is what a worker does with one job: read its document, plan, produce, keep the result.
//
// It stands between the queue's loop, which knows no trade, and the trade, which knows no queue.
package work

import (
	"context"
	"log/slog"

	"tamis/pkg/artwork"
	"tamis/pkg/cores"
	"tamis/pkg/library"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/produce"
	"tamis/pkg/queue"
	"tamis/pkg/separate"
)

// Config says where documents stand, how large a picture may be, and where films are spooled ("" = the system's folder).
type Config struct {
	Library *library.Library
	Limits  artwork.Limits
	Tables  *separate.Tables // solved separations kept from job to job; nil: none
	Spool   string
	Log     *slog.Logger
}

// worker makes jobs.
type worker struct{ Config }

// New gives the function the queue's loop calls for every job.
func New(c Config) func(ctx context.Context, shop, id string, doc []byte,
	report func(done, total int, stage string)) (queue.Outcome, error) {
	return (&worker{c}).do
}

// do makes one job. The same document gives the same bytes, whoever does it and however often; a result that stands
// already is taken as it is.
func (w *worker) do(ctx context.Context, shop, id string, doc []byte,
	report func(done, total int, stage string)) (queue.Outcome, error) {
	owner := library.ShopID(shop)
	if j, n, ok, err := library.ParseNest(doc); err != nil {
		return queue.Outcome{}, err
	} else if ok {
		return w.nest(ctx, owner, j, n, report)
	}
	job, o, err := library.ParseJob(doc)
	if err != nil {
		return queue.Outcome{}, err
	}
	if _, stands, err := w.Library.Finished(ctx, owner, job.Work); err != nil {
		return queue.Outcome{}, err
	} else if stands {
		return done(library.ResultKey(owner, job.Work)), nil
	}
	in, err := w.input(ctx, owner, job, o)
	if err != nil {
		return queue.Outcome{}, err
	}
	defer in.Image.Drop()
	in.Report = report
	result, err := produce.Run(ctx, in, w.Library.Sink(owner, job.Work))
	if err != nil {
		return queue.Outcome{}, err
	}
	key, err := w.Library.SaveResult(ctx, owner, job.Work, result)
	if err != nil {
		return queue.Outcome{}, err
	}
	w.Log.Info("job made", "shop", shop, "job", id, "plates", len(result.Plan.Plates), "files", len(result.Files))
	return done(key), nil
}

func done(manifest string) queue.Outcome {
	return queue.Outcome{State: queue.Done, Manifest: manifest}
}

// input gathers what produce needs.
func (w *worker) input(ctx context.Context, shop library.ShopID, job library.Job, o order.Order) (produce.Input, error) {
	artworks, _, err := w.Library.Artworks(ctx, shop, o)
	if err != nil {
		return produce.Input{}, err
	}
	at := max(job.PrintN, 1) - 1
	ins, err := w.Library.PlanInputs(ctx, shop, o, artworks, job.Snapshot)
	if err != nil {
		return produce.Input{}, err
	}
	for i := range ins {
		ins[i].Tables = w.Tables
	}
	out := produce.Input{Label: job.Work.Label(), SpoolDir: w.Spool}
	group, _ := cores.NewGroup(ctx) // a picture takes as long to open as a plan to make; its rows may come later still
	group.Go(func() (err error) {
		out.Image, err = w.Library.Picture(ctx, shop, artworks[at], w.Limits)
		return err
	})
	group.Go(func() error {
		plans, err := plan.All(o, ins) // all of them: the quote is the whole order's
		if err == nil {
			out.Plan = plans[at]
		}
		return err
	})
	err = group.Wait()
	if err != nil && out.Image != nil {
		out.Image.Drop()
	}
	return out, err
}
