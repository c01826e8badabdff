package work

import (
	"context"

	"tamis/pkg/library"
	"tamis/pkg/order"
	"tamis/pkg/produce"
	"tamis/pkg/queue"
)

// nest makes a nest as do makes a job.
func (w *worker) nest(ctx context.Context, owner library.ShopID, j library.NestJob, n order.Nest,
	report func(done, total int, stage string)) (queue.Outcome, error) {
	if _, stands, err := w.Library.Finished(ctx, owner, j.Work); err != nil {
		return queue.Outcome{}, err
	} else if stands {
		return done(library.ResultKey(owner, j.Work)), nil
	}
	in, err := w.Library.NestInput(ctx, owner, j, n)
	if err != nil {
		return queue.Outcome{}, err
	}
	in.SpoolDir, in.Report = w.Spool, report
	result, err := produce.RunNest(ctx, in, w.Library.Sink(owner, j.Work))
	if err != nil {
		return queue.Outcome{}, err
	}
	key, err := w.Library.SaveResult(ctx, owner, j.Work, result)
	if err != nil {
		return queue.Outcome{}, err
	}
	w.Log.Info("nest made", "shop", string(owner), "jobs", len(j.Members), "sheets", len(result.Nest.Sheets))
	return done(key), nil
}
