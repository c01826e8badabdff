package consume_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/queue"
	"tamis/worker/consume"
)

func TestJobsAreWorkedFromTheirDocuments(t *testing.T) {
	b := newBench(t)
	var mu sync.Mutex
	docs := map[string]string{}
	b.run(func(_ context.Context, at, id string, doc []byte, report func(int, int, string)) (queue.Outcome, error) {
		mu.Lock()
		defer mu.Unlock()
		docs[at+"/"+id] = string(doc)
		for n := 1; n <= 3; n++ {
			report(n, 3, "plate")
		}
		return done(id), nil
	})
	for n := 1; n <= 5; n++ {
		b.create(n)
	}
	for n := 1; n <= 5; n++ {
		id := fmt.Sprintf("job_%04d", n)
		r := b.ended(id)
		if r.State != queue.Done || r.Manifest != done(id).Manifest || r.Attempts != 1 || r.Done != 3 || r.Total != 3 {
			t.Errorf("%+v", r)
		}
		mu.Lock() // the next job may be writing its own
		doc := docs[shop+"/"+id]
		mu.Unlock()
		if !strings.Contains(doc, fmt.Sprintf(`"n": %d`, n)) {
			t.Errorf("%s was worked from %q", id, doc)
		}
		if got := b.events(id); got[0] != "queued" || got[1] != "running" || got[len(got)-1] != "done" {
			t.Errorf("events %v", got)
		}
	}
}

func TestAFaultOfTheOrderFailsTheJobAtOnce(t *testing.T) {
	b := newBench(t)
	b.run(func(_ context.Context, _, _ string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		return queue.Outcome{}, fmt.Errorf("plate 2: %w", fault.Newf(fault.TooLarge, "/print/width_mm", "film_too_wide",
			"the film is 420 mm wide; the device holds 330 mm"))
	})
	r := b.ended(b.create(1))
	if r.State != queue.Failed || r.Attempts != 1 || r.Problem.Code != "film_too_wide" ||
		r.Problem.Kind != fault.TooLarge || r.Problem.Field != "/print/width_mm" {
		t.Fatalf("%+v, %+v", r, r.Problem)
	}
}

func TestATroubleOfOursIsTriedThreeTimes(t *testing.T) {
	b := newBench(t)
	var tries atomic.Int32
	b.run(func(_ context.Context, _, id string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		if n := tries.Add(1); id == "job_0001" || n < 6 {
			return queue.Outcome{}, fault.Wrap(errors.New("dial tcp 10.0.0.7: refused"), fault.Unavailable, "store_unavailable",
				"the object store does not answer")
		}
		return done(id), nil
	})
	r := b.ended(b.create(1))
	if r.State != queue.Failed || r.Attempts != 3 || tries.Load() != 3 || r.Problem.Code != "store_unavailable" ||
		strings.Contains(r.Problem.Msg, "10.0.0.7") {
		t.Fatalf("%d tries, %+v, %+v", tries.Load(), r, r.Problem)
	}
	if r = b.ended(b.create(2)); r.State != queue.Done || r.Attempts != 3 { // the third try goes well
		t.Fatalf("%+v", r)
	}
}

// shortRow panics under a name that a stack shows.
func shortRow() { panic("screenRow: dst has 7 words, 8 are needed") }

func TestAPanicFailsTheJobAndLeavesItsStackInTheLog(t *testing.T) {
	b := newBench(t)
	var log syncBuffer
	ways := map[string]func(ctx context.Context) error{
		"job_0001": func(context.Context) error { shortRow(); return nil },
		"job_0002": func(context.Context) error { cores.Each(4, func(int) { shortRow() }); return nil },
		"job_0003": func(ctx context.Context) error {
			plates, ctx := cores.NewGroup(ctx)
			plates.Go(func() error { cores.Ranges(9, func(int, int) { shortRow() }); return nil })
			plates.Go(func() error { <-ctx.Done(); return ctx.Err() })
			return plates.Wait()
		},
	}
	b.run(func(ctx context.Context, _, id string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		if way := ways[id]; way != nil {
			return queue.Outcome{}, way(ctx)
		}
		return done(id), nil
	}, func(c *consume.Config) { c.Log = slog.New(slog.NewTextHandler(&log, nil)) })
	for n := range ways {
		r := b.ended(b.create(int(n[len(n)-1] - '0')))
		if r.State != queue.Failed || r.Attempts != 1 || r.Problem.Code != "job_panic" ||
			strings.Contains(r.Problem.Msg, "dst") {
			t.Fatalf("%+v, %+v", r, r.Problem)
		}
	}
	if said := log.String(); strings.Count(said, "dst has 7 words") != len(ways) ||
		strings.Count(said, "consume_test.shortRow") < len(ways) {
		t.Fatalf("the log says %s", said)
	}
	if r := b.ended(b.create(4)); r.State != queue.Done {
		t.Fatalf("the worker does not go on: %+v", r)
	}
}

// syncBuffer is a log that can be read while it is written.
type syncBuffer struct {
	mu   sync.Mutex
	text strings.Builder
}

func (s *syncBuffer) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.Write(p)
}

func (s *syncBuffer) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.String()
}

// untilStopped is work that goes on until its ctx ends.
func untilStopped(began chan<- string) consume.Work {
	return func(ctx context.Context, _, id string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		began <- id
		<-ctx.Done()
		return queue.Outcome{}, ctx.Err()
	}
}

func TestACancelStopsTheWorkWithoutARetry(t *testing.T) {
	b := newBench(t, func(c *queue.Config) { c.Lease = time.Minute }) // no heartbeat comes: the signal does it
	began := make(chan string, 9)
	b.run(untilStopped(began))
	id := b.create(1)
	<-began
	if err := b.Cancel(t.Context(), shop, id); err != nil {
		t.Fatal(err)
	}
	r := b.ended(id)
	if r.State != queue.Canceled || r.Attempts != 1 || r.Problem != nil {
		t.Fatalf("%+v", r)
	}
	if got := b.events(id); !slices.Equal(got, []string{"queued", "running", "canceled"}) {
		t.Fatalf("events %v", got)
	}
	select {
	case id := <-began:
		t.Fatalf("%s began again", id)
	case <-time.After(300 * time.Millisecond): // more than an idle poll of asynq
	}
}

func TestAJobThatIsFinishedWhenTheCancelComesIsCanceled(t *testing.T) {
	b := newBench(t)
	began, goOn := make(chan string, 1), make(chan struct{})
	b.run(func(_ context.Context, _, id string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		began <- id
		<-goOn // deaf to its ctx
		return done(id), nil
	})
	id := b.create(1)
	<-began
	if err := b.Cancel(t.Context(), shop, id); err != nil {
		t.Fatal(err)
	}
	close(goOn)
	if r := b.ended(id); r.State != queue.Canceled {
		t.Fatalf("%+v", r)
	}
}

func TestLongWorkKeepsItsClaim(t *testing.T) {
	b := newBench(t, func(c *queue.Config) { c.Lease = time.Second }) // long enough for a busy machine's hiccups
	var runs atomic.Int32
	b.run(func(_ context.Context, _, id string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		runs.Add(1)
		time.Sleep(2 * b.cfg.Lease)
		return done(id), nil
	})
	if r := b.ended(b.create(1)); r.State != queue.Done || r.Attempts != 1 || runs.Load() != 1 {
		t.Fatalf("%d runs, %+v", runs.Load(), r)
	}
}

func TestWorkThatMovesNoMoreIsStoppedAndTriedAgain(t *testing.T) {
	b := newBench(t)
	began := make(chan string, 9)
	b.run(untilStopped(began), func(c *consume.Config) { c.Stall = 50 * time.Millisecond })
	r := b.ended(b.create(1))
	if r.State != queue.Failed || r.Attempts != 3 || r.Problem.Code != "job_stalled" || len(began) != 3 {
		t.Fatalf("%d runs, %+v, %+v", len(began), r, r.Problem)
	}
}

func TestNoMoreJobsRunThanTheWorkerHasRoomFor(t *testing.T) {
	b := newBench(t)
	var now, most atomic.Int32
	b.run(func(_ context.Context, _, id string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		most.Store(max(most.Load(), now.Add(1)))
		defer now.Add(-1)
		time.Sleep(20 * time.Millisecond)
		return done(id), nil
	}, func(c *consume.Config) { c.Concurrency = 2 })
	for n := 1; n <= 10; n++ {
		b.create(n)
	}
	for n := 1; n <= 10; n++ {
		b.ended(fmt.Sprintf("job_%04d", n))
	}
	if most.Load() != 2 {
		t.Fatalf("%d jobs at once, room for 2", most.Load())
	}
}
