package queue_test

import (
	"sync"
	"testing"
	"time"

	"tamis/pkg/fault"
	"tamis/pkg/queue"
)

func TestOfSixteenClaimsOneHolds(t *testing.T) {
	b := newBench(t, func(c *queue.Config) { c.Lease = 10 * time.Second })
	id := b.create(t, job(1))
	var mu sync.Mutex
	held := 0
	var group sync.WaitGroup
	for range 16 {
		group.Go(func() {
			_, err := b.Claim(t.Context(), shop, id)
			mu.Lock()
			defer mu.Unlock()
			if err == nil {
				held++
			} else if fault.Of(err).Code != "job_held" {
				t.Error(err)
			}
		})
	}
	group.Wait()
	if held != 1 || b.get(t, id).Attempts != 1 {
		t.Fatalf("%d claims held, attempts %d", held, b.get(t, id).Attempts)
	}
}

func TestAStaleTokenChangesNothing(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	stale := b.claim(t, id)
	time.Sleep(b.cfg.Lease + 50*time.Millisecond) // the holder is silent for longer than its lease
	fresh := b.claim(t, id)
	if fresh.Attempt != 2 {
		t.Fatalf("attempt %d", fresh.Attempt)
	}
	before := b.get(t, id)
	_, extendErr := b.Extend(t.Context(), stale)
	_, retryErr := b.Retry(t.Context(), stale, nil)
	for i, err := range []error{extendErr, retryErr, b.Progress(t.Context(), stale, 1, 2, "x"),
		b.Commit(t.Context(), stale, done), b.Release(t.Context(), stale)} {
		if !isLost(err) {
			t.Errorf("call %d by a stale token: %v", i, err)
		}
	}
	if after := b.get(t, id); after != before {
		t.Fatalf("before %+v, after %+v", before, after)
	}
	if err := b.Commit(t.Context(), fresh, done); err != nil {
		t.Fatal(err)
	}
	if err := b.Commit(t.Context(), stale, queue.Outcome{State: queue.Failed}); !isLost(err) {
		t.Fatalf("a stale commit after the end: %v", err)
	}
	if r := b.get(t, id); r.State != queue.Done {
		t.Fatalf("the job is %s", r.State)
	}
}

func TestACommitWhoseAnswerWasLostCanBeRepeated(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	c := b.claim(t, id)
	for range 3 {
		if err := b.Commit(t.Context(), c, done); err != nil {
			t.Fatal(err)
		}
	}
	if events := drain(t, b.Queue, id, ""); len(events) != 3 { // queued, running, done
		t.Fatalf("events %+v", events)
	}
}

func TestALeaseIsRenewedByItsHolder(t *testing.T) {
	b := newBench(t, func(c *queue.Config) { c.Lease = 900 * time.Millisecond }) // a busy machine has hiccups
	id := b.create(t, job(1))
	c := b.claim(t, id)
	for range 4 {
		time.Sleep(b.cfg.Lease / 3)
		if stop, err := b.Extend(t.Context(), c); stop || err != nil {
			t.Fatalf("stop %t, %v", stop, err)
		}
		b.sweep(t)
	}
	_, err := b.Claim(t.Context(), shop, id)
	wantCode(t, err, fault.Conflict, "job_held")
}

func TestReleaseDoesNotCountAndRetryDoes(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	for range 5 {
		c := b.claim(t, id)
		if err := b.Release(t.Context(), c); err != nil {
			t.Fatal(err)
		}
		if r := b.get(t, id); r.State != queue.Queued || r.Attempts != 0 {
			t.Fatalf("released: %+v", r)
		}
	}
	trouble := queue.ProblemOf(fault.Newf(fault.Unavailable, "", "store_unavailable", "the object store does not answer"))
	for attempt := 1; attempt <= 3; attempt++ {
		ended, err := b.Retry(t.Context(), b.claim(t, id), trouble)
		if err != nil || ended != (attempt == 3) {
			t.Fatalf("attempt %d: ended %t, %v", attempt, ended, err)
		}
	}
	if r := b.get(t, id); r.State != queue.Failed || r.Problem == nil || *r.Problem != *trouble || r.Attempts != 3 {
		t.Fatalf("%+v", r)
	}
}

func TestThreeCrashedAttemptsAreThePoisonOfAJob(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	for range 3 {
		b.claim(t, id) // and nothing more is heard of the worker
		eventually(t, "the dead lease was swept", func() bool { b.sweep(t); return b.get(t, id).State != queue.Running })
	}
	r := b.get(t, id)
	if r.State != queue.Failed || r.Problem == nil || r.Problem.Code != "poison" || r.Attempts != 3 {
		t.Fatalf("%+v, %+v", r, r.Problem)
	}
	if !b.exists(t, "shops/linden/jobs/job_0001/end.json") {
		t.Fatal("the end is not in the documents")
	}
	events := drain(t, b.Queue, id, "")
	if last := events[len(events)-1]; last.Type != "failed" || last.Problem == nil || last.Problem.Code != "poison" {
		t.Fatalf("last event %+v", last)
	}
}

func TestAShopHasNoMoreAtWorkThanItsLimit(t *testing.T) {
	b := newBench(t, func(c *queue.Config) { c.MaxPerShop = 2; c.Lease = 10 * time.Second })
	claims := map[string]queue.Claim{}
	for n := 1; n <= 3; n++ {
		b.create(t, job(n))
	}
	for _, id := range []string{"job_0001", "job_0002"} {
		claims[id] = b.claim(t, id)
	}
	_, err := b.Claim(t.Context(), shop, "job_0003")
	wantCode(t, err, fault.Conflict, "shop_full")
	tasks := func() int64 { return b.redis.LLen(t.Context(), "asynq:{tamis-normal}:pending").Val() }
	before := tasks()
	if err := b.Commit(t.Context(), claims["job_0001"], done); err != nil {
		t.Fatal(err)
	}
	if tasks() != before+1 {
		t.Fatal("the waiting job did not ring when there was room")
	}
	b.claim(t, "job_0003")
	if err := b.Commit(t.Context(), claims["job_0002"], done); err != nil {
		t.Fatal(err)
	}
	if tasks() != before+1 {
		t.Fatal("a bell rang though no job waits")
	}
}

func TestAWishToStopOutlivesRedis(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	b.claim(t, id)
	if err := b.Cancel(t.Context(), shop, id); err != nil {
		t.Fatal(err)
	}
	b.redis.FlushAll(t.Context())
	b.recover(t)
	if r := b.get(t, id); r.State != queue.Canceled {
		t.Fatalf("%+v", r)
	}
}

func TestCancelInEveryState(t *testing.T) {
	b := newBench(t)
	queued := b.create(t, job(1))
	if err := b.Cancel(t.Context(), shop, queued); err != nil {
		t.Fatal(err)
	}
	if r := b.get(t, queued); r.State != queue.Canceled || r.EndedAt.IsZero() {
		t.Fatalf("a queued job after its cancel: %+v", r)
	}
	_, err := b.Claim(t.Context(), shop, queued)
	wantCode(t, err, fault.Conflict, "job_ended")
	wantCode(t, b.Cancel(t.Context(), shop, queued), fault.Conflict, "job_ended")

	running := b.create(t, job(2))
	c := b.claim(t, running)
	told, leave := b.StopSignal(c)
	defer leave()
	if b.Canceled(t.Context(), c) {
		t.Fatal("nobody asked yet")
	}
	if err := b.Cancel(t.Context(), shop, running); err != nil {
		t.Fatal(err)
	}
	select {
	case <-told:
	case <-time.After(10 * time.Second):
		t.Fatal("the worker was never told")
	}
	if r := b.get(t, running); r.State != queue.Running || !r.CancelAsked || !b.Canceled(t.Context(), c) {
		t.Fatalf("a running job after its cancel: %+v", r)
	}
	if stop, err := b.Extend(t.Context(), c); !stop || err != nil {
		t.Fatalf("the heartbeat says stop %t, %v", stop, err)
	}
	if err := b.Commit(t.Context(), c, done); err != nil { // it was finished already; cancelled means cancelled
		t.Fatal(err)
	}
	if r := b.get(t, running); r.State != queue.Canceled || r.Manifest != "" {
		t.Fatalf("%+v", r)
	}

	ended := b.create(t, job(3))
	if err := b.Commit(t.Context(), b.claim(t, ended), done); err != nil {
		t.Fatal(err)
	}
	wantCode(t, b.Cancel(t.Context(), shop, ended), fault.Conflict, "job_ended")
	wantCode(t, b.Cancel(t.Context(), shop, "job_none"), fault.NotFound, "job_not_found")
}

func TestACancelledJobWhoseWorkerDiedIsNotTriedAgain(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	b.claim(t, id)
	if err := b.Cancel(t.Context(), shop, id); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the sweeper ended it", func() bool { b.sweep(t); return b.get(t, id).State == queue.Canceled })
	if b.exists(t, "shops/linden/open/job_0001") {
		t.Fatal("the marker still stands")
	}
}
