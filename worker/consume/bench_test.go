package consume_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"sync"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"tamis/deploy/servers"
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

// newBench starts a Redis and opens a queue on it. Such tests wait more than they work, so they run side by side.
func newBench(t *testing.T, change ...func(*queue.Config)) *bench {
	t.Helper()
	t.Parallel()
	return newBenchAlone(t, change...)
}

// newBenchAlone is newBench for a test that bears no other beside it.
func newBenchAlone(t *testing.T, change ...func(*queue.Config)) *bench {
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
	j := newJob(n)
	if _, err := b.Create(b.t.Context(), j); err != nil {
		b.t.Fatal(err)
	}
	return j.ID
}

// newJob is the nth job of the shop.
func newJob(n int) queue.NewJob {
	doc := fmt.Appendf(nil, `{"created_at": "2026-03-01T08:00:%02dZ", "n": %d}`, n, n)
	return queue.NewJob{Shop: shop, ID: fmt.Sprintf("job_%04d", n), Doc: doc}
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
