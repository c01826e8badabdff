package consume

import (
	"context"
	"errors"
	"sync"
	"time"

	"tamis/pkg/fault"
	"tamis/pkg/queue"
)

// reportPause is the least time between two progress events of a job: bands finish every few milliseconds.
const reportPause = 200 * time.Millisecond

// news holds the latest report of the work until the watch sends it.
type news struct {
	mu          sync.Mutex // guards what follows
	done, total int
	stage       string
	at          time.Time // of the latest report, or of the start
	fresh       chan struct{}
}

func newNews() *news { return &news{at: time.Now(), fresh: make(chan struct{}, 1)} }

// report keeps what is new and never blocks.
func (n *news) report(done, total int, stage string) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.done, n.total, n.stage, n.at = done, total, stage, time.Now()
	select {
	case n.fresh <- struct{}{}:
	default:
	}
}

func (n *news) latest() (done, total int, stage string, at time.Time) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.done, n.total, n.stage, n.at
}

// watch keeps the claim alive until the work is over: a heartbeat every third of the lease, progress as it comes, and
// an end to the work's ctx when the job is cancelled, the claim lost, or nothing moves any more.
func (j *job) watch(worked <-chan struct{}) {
	ctx := context.WithoutCancel(j.ctx)
	q := j.r.cfg.Queue
	told, leave := q.StopSignal(j.claim)
	defer leave()
	if q.Canceled(ctx, j.claim) { // before anyone listened
		j.stop(errStop)
	}
	beat := time.NewTicker(q.Lease() / 3)
	defer beat.Stop()
	held, paused := time.Now(), time.NewTimer(0)
	defer paused.Stop()
	fresh := (<-chan struct{})(nil) // taken up again when the pause is over
	for {
		select {
		case <-worked:
			j.sendLast(ctx)
			return
		case <-told:
			if q.Canceled(ctx, j.claim) {
				j.stop(errStop)
			}
		case <-paused.C:
			fresh = j.news.fresh
		case <-fresh:
			fresh = nil
			paused.Reset(reportPause)
			j.send(ctx)
		case <-beat.C:
			held = j.beat(ctx, held)
		}
	}
}

// beat renews the lease. held is when that last worked: after a lease without an answer the claim counts as lost,
// since another worker may have it.
func (j *job) beat(ctx context.Context, held time.Time) time.Time {
	q := j.r.cfg.Queue
	ctx, cancel := context.WithTimeout(ctx, q.Lease()/3)
	defer cancel()
	asked := time.Now()
	stop, err := q.Extend(ctx, j.claim)
	switch {
	case errors.Is(err, queue.ErrLost):
		j.stop(errLost)
	case err != nil && time.Since(held) > q.Lease():
		j.stop(errLost)
	case err != nil:
		return held
	case stop:
		j.stop(errStop)
	}
	if _, _, _, at := j.news.latest(); time.Since(at) > j.r.cfg.Stall {
		j.stop(errStall)
	}
	return asked
}

func (j *job) send(ctx context.Context) {
	ctx, cancel := context.WithTimeout(ctx, j.r.cfg.Queue.Lease()/3)
	defer cancel()
	done, total, stage, _ := j.news.latest()
	err := j.r.cfg.Queue.Progress(ctx, j.claim, done, total, stage)
	if fault.Is(err, fault.Conflict) {
		j.stop(errLost)
	}
}

// sendLast sends the report that still waits for its turn, so that a finished job shows all its plates.
func (j *job) sendLast(ctx context.Context) {
	select {
	case <-j.news.fresh:
		j.send(ctx)
	default:
	}
}
