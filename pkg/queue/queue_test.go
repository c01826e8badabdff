package queue_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"tamis/deploy/servers"
	"tamis/pkg/fault"
	"tamis/pkg/queue"
	"tamis/pkg/store"
)

// bench is a queue on a real Redis with a store in a folder.
type bench struct {
	*queue.Queue
	server servers.RedisServer
	redis  *redis.Client
	store  store.Store
	cfg    queue.Config
}

const shop = "linden"

// newBench starts a Redis and a queue with short leases. change may alter the settings. Such tests wait more than
// they work, so they run side by side.
func newBench(t *testing.T, change ...func(*queue.Config)) *bench {
	t.Helper()
	t.Parallel()
	return newBenchHere(t, change...)
}

// newBenchHere is newBench for a test that needs several.
func newBenchHere(t *testing.T, change ...func(*queue.Config)) *bench {
	t.Helper()
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	server := servers.Redis(t)
	b := &bench{server: server, store: dir, redis: redis.NewClient(&redis.Options{Addr: server.Addr}),
		cfg: queue.Config{RedisURL: server.URL, Store: dir, Lease: 300 * time.Millisecond,
			SweepEvery: 50 * time.Millisecond, RingAgain: 200 * time.Millisecond, RetryPause: 20 * time.Millisecond,
			Log: quiet()}}
	t.Cleanup(func() { b.redis.Close() })
	for _, c := range change {
		c(&b.cfg)
	}
	b.Queue = b.open(t)
	return b
}

// open makes one more queue on the same Redis and store, as another process would.
func (b *bench) open(t *testing.T) *queue.Queue {
	t.Helper()
	q, err := queue.New(b.cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := q.Close(); err != nil {
			t.Error(err)
		}
	})
	return q
}

func quiet() *slog.Logger { return slog.New(slog.NewTextHandler(io.Discard, nil)) }

// job makes the nth job of the shop, a second after the one before.
func job(n int) queue.NewJob { return jobAs(n, queue.Normal, "", "") }

func jobAs(n int, lane queue.Lane, ref, batch string) queue.NewJob {
	created := time.Date(2026, 3, 1, 8, 0, n, 250_000, time.UTC)
	doc, err := json.Marshal(map[string]any{"created_at": created, "lane": lane, "order_ref": ref, "batch_id": batch,
		"order": map[string]any{"quantity": 72}})
	if err != nil {
		panic(err)
	}
	return queue.NewJob{Shop: shop, ID: fmt.Sprintf("job_%04d", n), Lane: lane, OrderRef: ref, BatchID: batch, Doc: doc}
}

// create makes a job and gives its id.
func (b *bench) create(t *testing.T, n queue.NewJob) string {
	t.Helper()
	made, err := b.Create(t.Context(), n)
	if err != nil || made.Replayed || made.ID != n.ID {
		t.Fatalf("Create %s: %+v, %v", n.ID, made, err)
	}
	return n.ID
}

func (b *bench) claim(t *testing.T, id string) queue.Claim {
	t.Helper()
	c, err := b.Claim(t.Context(), shop, id)
	if err != nil {
		t.Fatalf("Claim %s: %v", id, err)
	}
	return c
}

func (b *bench) get(t *testing.T, id string) queue.Record {
	t.Helper()
	r, err := b.Get(t.Context(), shop, id)
	if err != nil {
		t.Fatalf("Get %s: %v", id, err)
	}
	return r
}

// exists tells whether a document is there.
func (b *bench) exists(t *testing.T, key string) bool {
	t.Helper()
	_, err := b.store.Stat(t.Context(), key)
	if err != nil && !fault.Is(err, fault.NotFound) {
		t.Fatal(err)
	}
	return err == nil
}

// sweep does one pass.
func (b *bench) sweep(t *testing.T) {
	t.Helper()
	if err := b.Sweep(t.Context()); err != nil {
		t.Fatalf("Sweep: %v", err)
	}
}

// eventually waits until a condition holds, looking often.
func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		if holds() {
			return
		}
	}
	t.Fatalf("it never came that %s", what)
}

func wantCode(t *testing.T, err error, kind fault.Kind, code string) {
	t.Helper()
	if !fault.Is(err, kind) || fault.Of(err).Code != code {
		t.Fatalf("want %s (kind %d), got %v", code, kind, err)
	}
}

var done = queue.Outcome{State: queue.Done, Manifest: "shops/linden/films/manifest.json"}

func TestAJobGoesFromQueuedToDone(t *testing.T) {
	b := newBench(t)
	id := b.create(t, jobAs(1, queue.Rush, "order 17", "batch_3"))
	r := b.get(t, id)
	if r.State != queue.Queued || r.Lane != queue.Rush || r.OrderRef != "order 17" || r.BatchID != "batch_3" ||
		!r.CreatedAt.Equal(time.Date(2026, 3, 1, 8, 0, 1, 250_000, time.UTC)) || r.Attempts != 0 {
		t.Fatalf("queued: %+v", r)
	}
	c := b.claim(t, id)
	if err := b.Progress(t.Context(), c, 2, 6, "halftone"); err != nil {
		t.Fatal(err)
	}
	r = b.get(t, id)
	if r.State != queue.Running || c.Attempt != 1 || r.Attempts != 1 || r.Done != 2 || r.Total != 6 ||
		r.Stage != "halftone" || time.Since(r.StartedAt) > time.Minute {
		t.Fatalf("running: %+v", r)
	}
	if err := b.Commit(t.Context(), c, done); err != nil {
		t.Fatal(err)
	}
	r = b.get(t, id)
	if r.State != queue.Done || r.Manifest != done.Manifest || r.EndedAt.Before(r.StartedAt) || r.Problem != nil {
		t.Fatalf("done: %+v", r)
	}
	if !b.exists(t, "shops/linden/jobs/job_0001/end.json") || b.exists(t, "shops/linden/open/job_0001") {
		t.Fatal("an ended job has an end and no marker")
	}
	doc, err := b.Doc(t.Context(), shop, id)
	if err != nil || !strings.Contains(string(doc), `"quantity":72`) {
		t.Fatalf("document %s, %v", doc, err)
	}
}

// spy is a store that can look and refuse before each put.
type spy struct {
	store.Store
	mu     sync.Mutex
	before func(key string) error
	gone   bool
}

func (s *spy) ask(key string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.before == nil {
		return nil
	}
	return s.before(key)
}

func (s *spy) set(before func(key string) error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.before = before
}

// away makes reading fail as well as putting.
func (s *spy) away(gone bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gone = gone
}

func (s *spy) Get(ctx context.Context, key string) (io.ReadCloser, store.Info, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.gone {
		return nil, store.Info{}, errNoStore
	}
	return s.Store.Get(ctx, key)
}

func (s *spy) PutOnce(ctx context.Context, key string, body io.ReadSeeker, bytes int64, sum [32]byte,
	kind string) (bool, error) {
	if err := s.ask(key); err != nil {
		return false, err
	}
	return s.Store.PutOnce(ctx, key, body, bytes, sum, kind)
}

func (s *spy) Put(ctx context.Context, key string, data []byte, kind string) error {
	if err := s.ask(key); err != nil {
		return err
	}
	return s.Store.Put(ctx, key, data, kind)
}

var errNoStore = fault.Newf(fault.Unavailable, "", "store_unavailable", "the object store does not answer")

func TestTheDocumentsAreThereBeforeTheRecord(t *testing.T) {
	s := &spy{}
	b := newBench(t, func(c *queue.Config) { s.Store, c.Store = c.Store, s })
	var seen []string
	s.set(func(key string) error {
		seen = append(seen, key)
		if n := b.redis.Exists(t.Context(), "tamis:{linden}:job:job_0001").Val(); n != 0 {
			t.Errorf("%s is put when the record stands already", key)
		}
		return nil
	})
	b.create(t, job(1))
	if want := []string{"shops/linden/jobs/job_0001/job.json", "shops/linden/open/job_0001"}; !slices.Equal(seen, want) {
		t.Fatalf("put %q", seen)
	}
	s.set(func(key string) error {
		if strings.Contains(key, "/open/") {
			return errNoStore
		}
		return nil
	})
	if _, err := b.Create(t.Context(), job(2)); !fault.Is(err, fault.Unavailable) {
		t.Fatalf("without its marker: %v", err)
	}
	if n := b.redis.Exists(t.Context(), "tamis:{linden}:job:job_0002").Val(); n != 0 {
		t.Fatal("a job whose documents are not safe has a record")
	}
}

func TestWithoutRedisAJobIsRefusedAndLeavesNothing(t *testing.T) {
	b := newBench(t)
	b.server.Kill()
	if _, err := b.Create(t.Context(), job(1)); !fault.Is(err, fault.Unavailable) {
		t.Fatalf("without Redis: %v", err)
	}
	if left, err := b.store.List(t.Context(), "", "", 10); err != nil || len(left) > 0 {
		t.Fatalf("left behind: %v, %v", left, err)
	}
}

func TestAFailedJobKeepsItsProblem(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	problem := queue.ProblemOf(fault.Invalidf("/halftone/lpi", "lpi_too_fine", "85 lpi needs 120 threads/cm"))
	if err := b.Commit(t.Context(), b.claim(t, id), queue.Outcome{State: queue.Failed, Problem: problem}); err != nil {
		t.Fatal(err)
	}
	r := b.get(t, id)
	if r.State != queue.Failed || r.Problem == nil || *r.Problem != *problem || r.Problem.Fault().Kind != fault.Invalid {
		t.Fatalf("%+v, problem %+v", r, r.Problem)
	}
}

func TestAForeignOrMalformedIDIsNotFound(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	for _, name := range []struct{ shop, id string }{{"other", id}, {shop, "job_9"}, {shop, "../linden/jobs/" + id},
		{shop, ""}, {"", id}, {shop, strings.Repeat("x", 200)}, {shop, "job\x00"}, {"{linden}", id}, {shop, "JOB_0001"}} {
		_, getErr := b.Get(t.Context(), name.shop, name.id)
		_, docErr := b.Doc(t.Context(), name.shop, name.id)
		_, eventsErr := b.Events(t.Context(), name.shop, name.id, "")
		for i, err := range []error{getErr, docErr, eventsErr, b.Cancel(t.Context(), name.shop, name.id)} {
			if !fault.Is(err, fault.NotFound) {
				t.Errorf("%q of %q, call %d: %v", name.id, name.shop, i, err)
			}
		}
	}
}

func TestADocumentThatCannotBeRebuiltFromIsRefused(t *testing.T) {
	b := newBench(t)
	for name, change := range map[string]func(*queue.NewJob){
		"no JSON": func(n *queue.NewJob) { n.Doc = []byte("x") },
		"no time": func(n *queue.NewJob) { n.Doc = []byte(`{"lane":"normal"}`) },
		"unknown lane": func(n *queue.NewJob) {
			n.Doc = []byte(`{"created_at":"2026-03-01T08:00:00Z","lane":"slow"}`)
		},
		"other lane":     func(n *queue.NewJob) { n.Lane = queue.Bulk },
		"other order":    func(n *queue.NewJob) { n.OrderRef = "order 18" },
		"other batch":    func(n *queue.NewJob) { n.BatchID = "batch_4" },
		"no id":          func(n *queue.NewJob) { n.ID = "Job 1" },
		"no end":         func(n *queue.NewJob) { n.Done = &queue.Outcome{State: queue.Running} },
		"brace in batch": func(n *queue.NewJob) { *n = jobAs(1, queue.Normal, "", "{b}") },
	} {
		n := job(1)
		change(&n)
		if _, err := b.Create(t.Context(), n); !fault.Is(err, fault.Internal) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestAJobAnsweredFromStoredFilmsIsDoneAsItIsMade(t *testing.T) {
	b := newBench(t)
	n := job(1)
	n.Done = &done
	id := b.create(t, n)
	r := b.get(t, id)
	if r.State != queue.Done || r.Manifest != done.Manifest || r.Attempts != 0 || r.EndedAt.IsZero() {
		t.Fatalf("%+v", r)
	}
	if !b.exists(t, "shops/linden/jobs/job_0001/end.json") || b.exists(t, "shops/linden/open/job_0001") {
		t.Fatal("a job that is done has an end and no marker")
	}
	_, err := b.Claim(t.Context(), shop, id)
	wantCode(t, err, fault.Conflict, "job_ended")
	if events := drain(t, b.Queue, id, ""); len(events) != 1 || events[0].Type != "done" {
		t.Fatalf("events %+v", events)
	}
}

// drain reads a job's events until the channel is closed.
func drain(t *testing.T, q *queue.Queue, id, last string) []queue.Event {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	events, err := q.Events(ctx, shop, id, last)
	if err != nil {
		t.Fatal(err)
	}
	var all []queue.Event
	for e := range events {
		all = append(all, e)
	}
	if ctx.Err() != nil {
		t.Fatalf("the events of %s never ended: %+v", id, all)
	}
	return all
}

func isLost(err error) bool { return errors.Is(err, queue.ErrLost) }
