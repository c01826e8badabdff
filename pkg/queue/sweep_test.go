package queue_test

import (
	"context"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tamis/pkg/fault"
	"tamis/pkg/queue"
)

func contextWithCancel(t *testing.T) (context.Context, context.CancelFunc) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	t.Cleanup(cancel)
	return ctx, cancel
}

// listen collects the jobs whose doorbells ring.
func listen(t *testing.T, q *queue.Queue) func() []string {
	t.Helper()
	var mu sync.Mutex
	var rung []string
	l := q.Listen(4, func(_ context.Context, _, id string) error {
		mu.Lock()
		defer mu.Unlock()
		rung = append(rung, id)
		return nil
	})
	if err := l.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Stop(); l.Shutdown() })
	return func() []string {
		mu.Lock()
		defer mu.Unlock()
		return slices.Clone(rung)
	}
}

func TestADoorbellThatWasNeverRungIsRungBySweeping(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	dropDoorbells(t, b) // as when the api died between record and task
	rung := listen(t, b.Queue)
	eventually(t, "the bell rang", func() bool { b.sweep(t); return slices.Contains(rung(), id) })
}

// dropDoorbells removes every asynq key.
func dropDoorbells(t *testing.T, b *bench) {
	t.Helper()
	keys := b.redis.Keys(t.Context(), "asynq:*").Val()
	if len(keys) == 0 {
		t.Fatal("no doorbell stood")
	}
	b.redis.Del(t.Context(), keys...)
}

// A task that is archived holds its id for ever: asynq answers ErrTaskIDConflict, and nobody is told.
func TestADoorbellThatAsynqArchivedIsRungUnderANewName(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	archiveAll(t, b.server.Addr)
	rung := listen(t, b.Queue)
	eventually(t, "the bell rang", func() bool { b.sweep(t); return slices.Contains(rung(), id) })
}

// A task whose worker was killed is active for a minute and more, and holds its id.
func TestADoorbellThatHangsInADeadWorkerIsRungUnderANewName(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	pending, active := "asynq:{tamis-normal}:pending", "asynq:{tamis-normal}:active"
	task, err := b.redis.LMove(t.Context(), pending, active, "RIGHT", "LEFT").Result()
	if err != nil {
		t.Fatal(err)
	}
	b.redis.HSet(t.Context(), "asynq:{tamis-normal}:t:"+task, "state", "active")
	rung := listen(t, b.Queue)
	eventually(t, "the bell rang", func() bool { b.sweep(t); return slices.Contains(rung(), id) })
}

func TestAStandingDoorbellIsNotDoubled(t *testing.T) {
	b := newBench(t, func(c *queue.Config) { c.RingAgain = time.Millisecond })
	b.create(t, job(1))
	for range 20 {
		b.sweep(t)
		time.Sleep(2 * time.Millisecond)
	}
	if n := b.redis.LLen(t.Context(), "asynq:{tamis-normal}:pending").Val(); n != 1 {
		t.Fatalf("%d tasks stand for one job", n)
	}
}

func TestTheTaskCarriesNamesOnly(t *testing.T) {
	b := newBench(t)
	b.create(t, jobAs(1, queue.Rush, "a private order name", ""))
	keys := b.redis.Keys(t.Context(), "asynq:{tamis-rush}:t:*").Val()
	if len(keys) != 1 {
		t.Fatalf("%d tasks stand in the rush lane", len(keys))
	}
	m := b.redis.HGet(t.Context(), keys[0], "msg").Val()
	if len(m) > 200 || strings.Contains(m, "private") || !strings.Contains(m, `{"job":"job_0001","shop":"linden"}`) {
		t.Fatalf("the task is %q", m)
	}
}

// While the store is away every ring comes to nothing. The tasks must not multiply.
func TestAStoreThatIsAwayDoesNotMultiplyDoorbells(t *testing.T) {
	s := &spy{}
	b := newBench(t, func(c *queue.Config) { s.Store, c.Store = c.Store, s })
	id := b.create(t, job(1))
	s.away(true)
	var rings atomic.Int32
	l := b.Listen(4, func(ctx context.Context, shop, id string) error {
		rings.Add(1)
		if _, err := b.Claim(ctx, shop, id); !fault.Is(err, fault.Conflict) {
			return err
		}
		return nil
	})
	if err := l.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Stop(); l.Shutdown() })
	eventually(t, "it rang several times", func() bool { _ = b.Sweep(t.Context()); return rings.Load() >= 4 })
	tasks := b.redis.Keys(t.Context(), "asynq:{tamis-normal}:t:*").Val()
	if r := b.get(t, id); r.State.Ended() || r.Attempts > 1 || len(tasks) > 1 {
		t.Fatalf("%d tasks stand, %+v", len(tasks), r)
	}
	s.away(false)
	eventually(t, "the job is at work", func() bool {
		return b.Sweep(t.Context()) == nil && b.get(t, id).State == queue.Running
	})
}

func TestAnEndThatMissedTheDocumentsIsWrittenBySweeping(t *testing.T) {
	s := &spy{}
	b := newBench(t, func(c *queue.Config) { s.Store, c.Store = c.Store, s })
	id := b.create(t, job(1))
	c := b.claim(t, id)
	s.set(func(string) error { return errNoStore })
	if err := b.Commit(t.Context(), c, done); err != nil {
		t.Fatalf("the commit stands in Redis: %v", err)
	}
	if err := b.Sweep(t.Context()); err == nil {
		t.Fatal("the sweep does not say that the store is away")
	}
	s.set(nil)
	if b.exists(t, "shops/linden/jobs/job_0001/end.json") {
		t.Fatal("the store was not away")
	}
	b.sweep(t)
	if !b.exists(t, "shops/linden/jobs/job_0001/end.json") || b.exists(t, "shops/linden/open/job_0001") {
		t.Fatal("the end is not in the documents")
	}
	if n := b.redis.ZCard(t.Context(), "tamis:{linden}:ends").Val(); n != 0 {
		t.Fatalf("%d rows left", n)
	}
}

func TestAfterRedisWasEmptiedEveryJobIsThere(t *testing.T) {
	b := newBench(t)
	ended, running, queued := b.create(t, jobAs(1, queue.Bulk, "ref", "batch_1")), b.create(t, job(2)), b.create(t, job(3))
	if err := b.Commit(t.Context(), b.claim(t, ended), done); err != nil {
		t.Fatal(err)
	}
	lost := b.claim(t, running)
	before := b.get(t, ended)
	b.redis.FlushAll(t.Context())
	for id, state := range map[string]queue.State{ended: queue.Done, running: queue.Queued, queued: queue.Queued} {
		if r := b.get(t, id); r.State != state { // from the documents, before any sweep
			t.Fatalf("%s is %s", id, r.State)
		}
	}
	b.recover(t)
	if got := pages(t, b, queue.Filter{}, 10, func(int) {}); !slices.Equal(got, names(3, 1, 1)) {
		t.Fatalf("listed: %v", got)
	}
	all := queue.Filter{BatchID: "batch_1", OrderRef: "ref", State: queue.Done}
	if got := pages(t, b, all, 10, func(int) {}); len(got) != 1 {
		t.Fatalf("by batch, order and state: %v", got)
	}
	after := b.get(t, ended)
	before.StartedAt = time.Time{} // of no interest once it ended
	if after != before {
		t.Fatalf("before %+v, after %+v", before, after)
	}
	if err := b.Commit(t.Context(), lost, done); !isLost(err) {
		t.Fatalf("a claim from before: %v", err)
	}
	rung := listen(t, b.Queue)
	eventually(t, "both open jobs rang", func() bool {
		return slices.Contains(rung(), running) && slices.Contains(rung(), queued)
	})
}

func TestAJobThatRedisLostCanBeClaimedAndCancelledBeforeAnySweep(t *testing.T) {
	b := newBench(t)
	first, second := b.create(t, job(1)), b.create(t, job(2))
	b.redis.FlushAll(t.Context())
	b.claim(t, first)
	if err := b.Cancel(t.Context(), shop, second); err != nil {
		t.Fatal(err)
	}
	if r := b.get(t, second); r.State != queue.Canceled {
		t.Fatalf("%+v", r)
	}
}

// A Redis that comes back with an old state believes a finished job queued.
func TestAnEndInTheDocumentsOutweighsAnOldRecord(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	old := b.redis.Dump(t.Context(), "tamis:{linden}:job:"+id).Val()
	if err := b.Commit(t.Context(), b.claim(t, id), done); err != nil {
		t.Fatal(err)
	}
	b.redis.RestoreReplace(t.Context(), "tamis:{linden}:job:"+id, 0, old)
	if r := b.get(t, id); r.State != queue.Queued {
		t.Fatalf("the old record says %s", r.State)
	}
	_, err := b.Claim(t.Context(), shop, id)
	wantCode(t, err, fault.Conflict, "job_ended")
	if r := b.get(t, id); r.State != queue.Done || r.Manifest != done.Manifest {
		t.Fatalf("%+v", r)
	}
}

func TestARecordThatRedisLetGoComesFromTheDocuments(t *testing.T) {
	b := newBench(t, func(c *queue.Config) { c.Retention = 30 * time.Millisecond })
	id := b.create(t, job(1))
	if err := b.Commit(t.Context(), b.claim(t, id), done); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the record expired", func() bool {
		return b.redis.Exists(t.Context(), "tamis:{linden}:job:"+id).Val() == 0
	})
	page, _, err := b.List(t.Context(), shop, queue.Filter{State: queue.Done}, queue.Position{}, 10)
	if err != nil || len(page) != 1 || page[0].Manifest != done.Manifest {
		t.Fatalf("listed %+v, %v", page, err)
	}
	if events := drain(t, b.Queue, id, ""); len(events) != 1 || events[0].Type != "done" {
		t.Fatalf("events %+v", events)
	}
}

func TestOneProcessSweepsAtATimeAndAnotherTakesOver(t *testing.T) {
	b := newBench(t)
	b.sweep(t)
	other := b.open(t)
	if err := other.Sweep(t.Context()); err != nil {
		t.Fatal(err)
	}
	id := b.create(t, job(1))
	b.claim(t, id)
	time.Sleep(b.cfg.Lease + 20*time.Millisecond) // the first process sweeps no more; its lock dies
	eventually(t, "the other swept", func() bool {
		if err := other.Sweep(t.Context()); err != nil {
			t.Fatal(err)
		}
		return b.get(t, id).State == queue.Queued
	})
}

func TestTheSweeperEndsWithItsContext(t *testing.T) {
	b := newBench(t)
	ctx, cancel := contextWithCancel(t)
	ended := make(chan struct{})
	go func() { b.RunSweeper(ctx); close(ended) }()
	eventually(t, "it swept", func() bool { return b.redis.Exists(t.Context(), "tamis:epoch").Val() == 1 })
	cancel()
	select {
	case <-ended:
	case <-time.After(10 * time.Second):
		t.Fatal("it goes on")
	}
}
