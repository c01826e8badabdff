// Package consume is the loop that works the queue: the worker runs it, and the api when it has no worker beside it.
//
// What goes in: the queue and the work (a function from a job's document to its outcome). What it does: takes the
// jobs whose doorbell rings, claims each, keeps the claim alive while the work runs, stops the work when the job is
// cancelled or the claim is lost, and settles how it ended. A fault of the order fails the job; a trouble of ours is
// tried again; a panic, also in a goroutine that package cores started, fails the job and leaves its stack in the log. When told to stop it takes no more, lets what
// runs finish for a while, and gives back the rest.
//
// It does not know what the work makes.
package consume

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"time"

	"tamis/pkg/fault"
	"tamis/pkg/queue"
)

// Work does one job. doc is the job's document. report notes how far it is; it never blocks and may be called from
// several goroutines. ctx ends when the job is cancelled, the claim lost or the worker stopped: the work returns
// then, soon, with any error. It may run again, also beside itself, and must put the same bytes each time.
type Work func(ctx context.Context, shop, id string, doc []byte,
	report func(done, total int, stage string)) (queue.Outcome, error)

// Config says what is worked and how.
type Config struct {
	Queue       *queue.Queue  // required
	Work        Work          // required
	Concurrency int           // jobs at once; 0 = 1
	Grace       time.Duration // how long running jobs may go on after the stop; 0 = 20 s, negative = none
	Stall       time.Duration // a job that reports nothing for so long is stopped and tried again; 0 = 10 min
	Log         *slog.Logger  // ids only; nil = slog.Default
}

// Run works the queue and sweeps it until ctx is done, then drains: no goroutine of its own is left when it returns.
// The error says that it could not start.
func Run(ctx context.Context, cfg Config) error {
	r := newRunner(ctx, cfg.withDefaults())
	defer r.stopWork(errDrain)
	listener := cfg.Queue.Listen(r.cfg.Concurrency, r.handle)
	if err := listener.Start(); err != nil {
		return err
	}
	var sweeping sync.WaitGroup
	sweeping.Go(func() { cfg.Queue.RunSweeper(ctx) })
	<-ctx.Done()
	listener.Stop()
	r.drain()
	listener.Shutdown()
	sweeping.Wait()
	return nil
}

func (c Config) withDefaults() Config {
	if c.Concurrency == 0 {
		c.Concurrency = 1
	}
	if c.Grace == 0 {
		c.Grace = 20 * time.Second
	}
	if c.Stall == 0 {
		c.Stall = 10 * time.Minute
	}
	if c.Log == nil {
		c.Log = slog.Default()
	}
	return c
}

// runner is one Run.
type runner struct {
	cfg      Config
	slots    chan struct{} // our own bound: asynq frees its slot while a handler it gave up still runs
	draining chan struct{} // closed when no job may begin any more
	workCtx  context.Context
	stopWork context.CancelCauseFunc

	mu   sync.Mutex // guards jobs against the wait of drain: no job begins after it
	jobs sync.WaitGroup
}

func newRunner(ctx context.Context, cfg Config) *runner {
	r := &runner{cfg: cfg, slots: make(chan struct{}, cfg.Concurrency), draining: make(chan struct{})}
	r.workCtx, r.stopWork = context.WithCancelCause(context.WithoutCancel(ctx))
	return r
}

// errDraining makes a doorbell ring again, at another worker.
var errDraining = errors.New("this worker is stopping")

// handle serves one ring of a doorbell.
func (r *runner) handle(ctx context.Context, shop, id string) error {
	if !r.begin() {
		return errDraining
	}
	defer r.jobs.Done()
	select {
	case r.slots <- struct{}{}:
		defer func() { <-r.slots }()
	case <-r.draining:
		return errDraining
	}
	claim, err := r.cfg.Queue.Claim(ctx, shop, id)
	if fault.Is(err, fault.Conflict) || fault.Is(err, fault.NotFound) {
		r.cfg.Log.Debug("nothing to claim", "shop", shop, "job", id, "code", fault.Of(err).Code)
		return nil
	}
	if err != nil {
		return err
	}
	newJob(r, claim).run()
	return nil
}

func (r *runner) begin() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	select {
	case <-r.draining:
		return false
	default:
		r.jobs.Add(1)
		return true
	}
}

// drain lets running jobs finish for the grace, then stops them, and waits for each.
func (r *runner) drain() {
	r.mu.Lock()
	close(r.draining)
	r.mu.Unlock()
	timer := time.AfterFunc(max(r.cfg.Grace, 0), func() { r.stopWork(errDrain) })
	defer timer.Stop()
	r.jobs.Wait()
}
