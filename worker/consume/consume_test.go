package consume_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"tamis/deploy/servers"
	"tamis/pkg/fault"
	"tamis/pkg/queue"
	"tamis/pkg/store"
	"tamis/worker/consume"
)

const shop = "linden"

// bench is a queue on a real Redis with a store in a folder.
type bench struct {
	*queue.Queue
	t      *testing.T
	server servers.RedisServer
	redis  *redis.Client
	store  store.Store
	cfg    queue.Config
	folder string            // of the store, unless it is
	s3     *servers.S3Server // a bucket
}

func newBench(t *testing.T, change ...func(*queue.Config)) *bench {
	t.Helper()
	b := &bench{t: t, server: servers.Redis(t), folder: t.TempDir()}
	dir, err := store.OpenDir(b.folder)
	if err != nil {
		t.Fatal(err)
	}
	b.store, b.cfg = dir, settings(b.server.URL, dir)
	for _, c := range change {
		c(&b.cfg)
	}
	b.redis = redis.NewClient(&redis.Options{Addr: b.server.Addr})
	if b.Queue, err = queue.New(b.cfg); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := errors.Join(b.Close(), b.redis.Close()); err != nil {
			t.Error(err)
		}
	})
	return b
}

// settings are short leases, so that a crash is over in a moment.
func settings(redisURL string, s store.Store) queue.Config {
	return queue.Config{RedisURL: redisURL, Store: s, Lease: 400 * time.Millisecond, SweepEvery: 50 * time.Millisecond,
		RingAgain: 300 * time.Millisecond, RetryPause: 20 * time.Millisecond, Log: quiet()}
}

func quiet() *slog.Logger { return slog.New(slog.NewTextHandler(io.Discard, nil)) }

func (b *bench) create(n int) string {
	b.t.Helper()
	id := fmt.Sprintf("job_%04d", n)
	doc := fmt.Appendf(nil, `{"created_at": "2026-03-01T08:00:%02dZ", "n": %d}`, n, n)
	if _, err := b.Create(b.t.Context(), queue.NewJob{Shop: shop, ID: id, Doc: doc}); err != nil {
		b.t.Fatal(err)
	}
	return id
}

func (b *bench) get(id string) queue.Record {
	b.t.Helper()
	r, err := b.Get(b.t.Context(), shop, id)
	if err != nil {
		b.t.Fatal(err)
	}
	return r
}

// ended waits for the end of a job.
func (b *bench) ended(id string) queue.Record {
	b.t.Helper()
	eventually(b.t, id+" ended", func() bool { return b.get(id).State.Ended() })
	return b.get(id)
}

// events reads a job's whole stream.
func (b *bench) events(id string) (types []string) {
	b.t.Helper()
	events, err := b.Events(b.t.Context(), shop, id, "")
	if err != nil {
		b.t.Fatal(err)
	}
	for e := range events {
		types = append(types, e.Type)
	}
	return types
}

// run starts a worker; stop ends it and waits.
func (b *bench) run(work consume.Work, change ...func(*consume.Config)) (stop func()) {
	b.t.Helper()
	cfg := consume.Config{Queue: b.Queue, Work: work, Concurrency: 4, Grace: -1, Log: quiet()}
	for _, c := range change {
		c(&cfg)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- consume.Run(ctx, cfg) }()
	stop = sync.OnceFunc(func() {
		cancel()
		select {
		case err := <-ended:
			if err != nil {
				b.t.Error(err)
			}
		case <-time.After(20 * time.Second):
			b.t.Error("the worker does not end")
		}
	})
	b.t.Cleanup(stop)
	return stop
}

func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for deadline := time.Now().Add(30 * time.Second); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		if holds() {
			return
		}
	}
	t.Fatalf("it never came that %s", what)
}

func done(id string) queue.Outcome {
	return queue.Outcome{State: queue.Done, Manifest: "shops/linden/films/" + id}
}

// finish is work that is done at once.
func finish(_ context.Context, _, id string, _ []byte, report func(int, int, string)) (queue.Outcome, error) {
	report(1, 1, "screen")
	return done(id), nil
}

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
		if doc := docs[shop+"/"+id]; !strings.Contains(doc, fmt.Sprintf(`"n": %d`, n)) {
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
	if r.State != queue.Failed || r.Attempts != 1 || r.Problem.Code != "film_too_wide" || r.Problem.Kind != fault.TooLarge ||
		r.Problem.Field != "/print/width_mm" {
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

func TestAPanicFailsTheJobAndLeavesItsStackInTheLog(t *testing.T) {
	b := newBench(t)
	var log syncBuffer
	b.run(func(_ context.Context, _, id string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		if id == "job_0001" {
			panic("screenRow: dst has 7 words, 8 are needed")
		}
		return done(id), nil
	}, func(c *consume.Config) { c.Log = slog.New(slog.NewTextHandler(&log, nil)) })
	r := b.ended(b.create(1))
	if r.State != queue.Failed || r.Attempts != 1 || r.Problem.Code != "job_panic" || strings.Contains(r.Problem.Msg, "dst") {
		t.Fatalf("%+v, %+v", r, r.Problem)
	}
	if said := log.String(); !strings.Contains(said, "dst has 7 words") || !strings.Contains(said, "consume_test.go") {
		t.Fatalf("the log says %s", said)
	}
	if r = b.ended(b.create(2)); r.State != queue.Done {
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
	b := newBench(t)
	var runs atomic.Int32
	b.run(func(_ context.Context, _, id string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		runs.Add(1)
		time.Sleep(3 * b.cfg.Lease)
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
	b := newBench(t)
	b.run(finish)() // connections and their pools stand now
	before := runtime.NumGoroutine()
	for n := 1; n <= 3; n++ {
		stop := b.run(finish)
		b.ended(b.create(n))
		stop()
	}
	eventually(t, "the goroutines ended", func() bool { return runtime.NumGoroutine() <= before })
}
