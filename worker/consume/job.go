package consume

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/queue"
)

// Why the work's ctx ended, as its cause.
var (
	errDrain = errors.New("the worker stops")
	errStop  = errors.New("the job was cancelled")
	errLost  = errors.New("the claim was lost")
	errStall = fault.Newf(fault.Unavailable, "", "job_stalled", "the job made no progress for too long")
)

// settleTimeout bounds the calls that settle a job; they run after the work's ctx has ended.
const settleTimeout = 30 * time.Second

// job is one claim at work.
type job struct {
	r     *runner
	claim queue.Claim
	ctx   context.Context // the work's
	stop  context.CancelCauseFunc
	news  *news
}

func newJob(r *runner, claim queue.Claim) *job {
	j := &job{r: r, claim: claim, news: newNews()}
	j.ctx, j.stop = context.WithCancelCause(r.workCtx)
	return j
}

// run does the work and settles how it ended.
func (j *job) run() {
	defer j.stop(nil)
	log := j.r.cfg.Log.With("shop", j.claim.Shop, "job", j.claim.ID, "attempt", j.claim.Attempt)
	log.Info("job begins")
	outcome, err := j.work()
	ctx, cancel := context.WithTimeout(context.WithoutCancel(j.ctx), settleTimeout)
	defer cancel()
	word, err := j.settle(ctx, outcome, err)
	log.Info("job settled", "as", word, "error", err)
}

// work does the work under its watch; a panic of either, in whatever goroutine package cores started, becomes an error.
func (j *job) work() (outcome queue.Outcome, err error) {
	defer func() {
		if p := cores.PanicOf(recover()); p != nil {
			err = panicked{p}
		}
		j.logPanic(err)
	}()
	worked := make(chan struct{})
	cores.Together(func() {
		defer close(worked)
		outcome, err = j.make()
	}, func() { j.watch(worked) })
	return outcome, err
}

// make reads the document and does the work.
func (j *job) make() (queue.Outcome, error) {
	doc, err := j.r.cfg.Queue.Doc(j.ctx, j.claim.Shop, j.claim.ID)
	if err != nil {
		return queue.Outcome{}, err
	}
	return j.r.cfg.Work(j.ctx, j.claim.Shop, j.claim.ID, doc, j.news.report)
}

// panicked is a bug of ours that this job brings out: trying again would bring it out again.
type panicked struct{ *cores.Panic }

// Unwrap gives the panic.
func (p panicked) Unwrap() error { return p.Panic }

// logPanic leaves the stack of a panic in the log; also that of a decoder, which is the file's fault.
func (j *job) logPanic(err error) {
	var p *cores.Panic
	if errors.As(err, &p) {
		j.r.cfg.Log.Error("job panics", "shop", j.claim.Shop, "job", j.claim.ID, "panic", fmt.Sprint(p.Value),
			"stack", string(p.Stack))
	}
}

// settle tells the queue how the work ended. word is for the log.
func (j *job) settle(ctx context.Context, outcome queue.Outcome, err error) (word string, _ error) {
	cause := context.Cause(j.ctx)
	var bug panicked
	switch {
	case errors.Is(cause, errLost):
		return "lost", nil
	case errors.Is(cause, errStop) || fault.Is(err, fault.Canceled):
		return "canceled", j.commit(ctx, queue.Outcome{State: queue.Canceled})
	case err == nil:
		return string(outcome.State), j.commit(ctx, outcome)
	case errors.As(err, &bug):
		return "failed", j.commit(ctx, failed(fault.Newf(fault.Internal, "", "job_panic",
			"the job met a bug of ours; it is in the log under the job's id")))
	case errors.Is(cause, errDrain):
		return "released", j.insist(ctx, func() error { return j.r.cfg.Queue.Release(ctx, j.claim) })
	case ofTheOrder(err):
		return "failed", j.commit(ctx, failed(err))
	}
	if errors.Is(cause, errStall) {
		err = errStall
	}
	j.r.cfg.Log.Warn("job troubled", "shop", j.claim.Shop, "job", j.claim.ID, "error", err)
	return "retried", j.insist(ctx, func() error {
		_, err := j.r.cfg.Queue.Retry(ctx, j.claim, queue.ProblemOf(err))
		return err
	})
}

// ofTheOrder tells whether the same order would fail again, whoever does it.
func ofTheOrder(err error) bool {
	switch fault.Of(err).Kind {
	case fault.Internal, fault.Busy, fault.Unavailable, fault.Canceled:
		return false
	}
	return true
}

func failed(err error) queue.Outcome {
	return queue.Outcome{State: queue.Failed, Problem: queue.ProblemOf(err)}
}

func (j *job) commit(ctx context.Context, o queue.Outcome) error {
	return j.insist(ctx, func() error { return j.r.cfg.Queue.Commit(ctx, j.claim, o) })
}

// insist repeats a call while Redis is away. When it stays away the lease dies and the job is done again.
func (j *job) insist(ctx context.Context, call func() error) error {
	pause := 100 * time.Millisecond
	for {
		err := call()
		if !fault.Is(err, fault.Unavailable) {
			return err
		}
		select {
		case <-ctx.Done():
			return err
		case <-time.After(pause):
			pause = min(2*pause, 5*time.Second)
		}
	}
}
