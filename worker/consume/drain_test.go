package consume_test

import (
	"context"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"tamis/pkg/queue"
	"tamis/worker/consume"
)

func TestAStopLetsRunningJobsFinishWithinTheGrace(t *testing.T) {
	b := newBench(t)
	began, goOn := make(chan string, 1), make(chan struct{})
	stop := b.run(func(_ context.Context, _, id string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		began <- id
		<-goOn
		return done(id), nil
	}, func(c *consume.Config) { c.Grace = 20 * time.Second; c.Concurrency = 1 })
	first, second := b.create(1), b.create(2)
	running := <-began
	time.AfterFunc(300*time.Millisecond, func() { close(goOn) })
	stop()
	other := map[string]string{first: second, second: first}[running]
	if r := b.get(running); r.State != queue.Done {
		t.Fatalf("the running job: %+v", r)
	}
	if r := b.get(other); r.State != queue.Queued || r.Attempts != 0 {
		t.Fatalf("the waiting job: %+v", r)
	}
	b.run(finish)
	if r := b.ended(other); r.State != queue.Done {
		t.Fatalf("%+v", r)
	}
}

func TestAStopGivesBackWhatDoesNotFinish(t *testing.T) {
	b := newBench(t)
	began := make(chan string, 9)
	stop := b.run(untilStopped(began))
	id := b.create(1)
	<-began
	stop()
	if r := b.get(id); r.State != queue.Queued || r.Attempts != 0 {
		t.Fatalf("released: %+v", r)
	}
	b.run(finish) // the next worker takes it at once, not after a lease or a minute
	if r := b.ended(id); r.State != queue.Done || r.Attempts != 1 {
		t.Fatalf("%+v", r)
	}
}

func TestAWorkerThatLostItsClaimStopsAndSettlesNothing(t *testing.T) {
	b := newBench(t)
	began, stopped := make(chan string, 9), make(chan error, 9)
	var runs atomic.Int32
	b.run(func(ctx context.Context, _, id string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		began <- id
		if runs.Add(1) > 1 {
			return done(id), nil
		}
		<-ctx.Done()
		stopped <- context.Cause(ctx)
		return queue.Outcome{State: queue.Failed}, nil // whatever it says now
	})
	id := b.create(1)
	<-began
	b.redis.HSet(t.Context(), "tamis:{linden}:job:"+id, "token", "another") // as if swept and claimed elsewhere
	if err := <-stopped; err == nil {
		t.Fatal("the work was not stopped")
	}
	if r := b.ended(id); r.State != queue.Done {
		t.Fatalf("%+v", r)
	}
}

func TestNoGoroutineIsLeft(t *testing.T) {
	b := newBenchAlone(t)
	b.run(finish)() // connections and their pools stand now
	before := runtime.NumGoroutine()
	for n := 1; n <= 3; n++ {
		stop := b.run(finish)
		b.ended(b.create(n))
		stop()
	}
	eventually(t, "the goroutines ended", func() bool { return runtime.NumGoroutine() <= before })
}
