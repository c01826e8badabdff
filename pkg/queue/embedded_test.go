package queue_test

import (
	"context"
	"fmt"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/hibiken/asynq"

	"tamis/pkg/queue"
	"tamis/pkg/store"
)

// archiveAll does to every task what asynq does to one that has used up its retries.
func archiveAll(t *testing.T, addr string) {
	t.Helper()
	inspector := asynq.NewInspector(asynq.RedisClientOpt{Addr: addr})
	defer inspector.Close()
	if n, err := inspector.ArchiveAllPendingTasks("tamis-normal"); n == 0 || err != nil {
		t.Fatalf("%d archived, %v", n, err)
	}
}

// embed opens a queue on an embedded Redis and a folder; close ends both as a killed process would.
func embed(t *testing.T, folder string) (q *queue.Queue, close func()) {
	t.Helper()
	redis, err := queue.StartEmbeddedRedis()
	if err != nil {
		t.Fatal(err)
	}
	dir, err := store.OpenDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	q, err = queue.New(queue.Config{Redis: redis.Client(), Store: dir, Lease: 300 * time.Millisecond,
		SweepEvery: 50 * time.Millisecond, Replay: 200 * time.Millisecond, Log: quiet()})
	if err != nil {
		t.Fatal(err)
	}
	return q, func() {
		if err := q.Close(); err != nil {
			t.Error(err)
		}
		if err := redis.Close(); err != nil {
			t.Error(err)
		}
	}
}

// miniredis never expires a key by itself: the ticker has to.
func TestExpiriesExpireInTheEmbeddedRedis(t *testing.T) {
	redis, err := queue.StartEmbeddedRedis()
	if err != nil {
		t.Fatal(err)
	}
	defer redis.Close()
	ctx := t.Context()
	redis.Client().Set(ctx, "short", "x", 300*time.Millisecond)
	redis.Client().Set(ctx, "long", "x", time.Hour)
	if redis.Client().Exists(ctx, "short").Val() != 1 {
		t.Fatal("it expired at once")
	}
	eventually(t, "the key expired", func() bool { return redis.Client().Exists(ctx, "short").Val() == 0 })
	if redis.Client().Exists(ctx, "long").Val() != 1 {
		t.Fatal("the clock ran away")
	}
}

func TestTheEmbeddedQueueKeepsItsPromises(t *testing.T) {
	q, end := embed(t, t.TempDir())
	t.Cleanup(end) // after the listener's: asynq panics when its connection closes under it
	ctx := t.Context()
	made, err := q.Create(ctx, keyed(1, "key", "body"))
	if err != nil {
		t.Fatal(err)
	}
	if again, err := q.Create(ctx, keyed(2, "key", "body")); err != nil || again.ID != made.ID {
		t.Fatalf("a replay: %+v, %v", again, err)
	}
	rung := listen(t, q)
	eventually(t, "the bell rang", func() bool { return slices.Contains(rung(), made.ID) })
	stale, err := q.Claim(ctx, shop, made.ID)
	if err != nil {
		t.Fatal(err)
	}
	eventually(t, "the dead lease was swept", func() bool {
		if err := q.Sweep(ctx); err != nil {
			t.Fatal(err)
		}
		r, err := q.Get(ctx, shop, made.ID)
		return err == nil && r.State == queue.Queued
	})
	if err := q.Commit(ctx, stale, done); !isLost(err) {
		t.Fatalf("a stale commit: %v", err)
	}
	c, err := q.Claim(ctx, shop, made.ID)
	if err != nil {
		t.Fatal(err)
	}
	if err := q.Progress(ctx, c, 1, 2, "screen"); err != nil {
		t.Fatal(err)
	}
	if err := q.Commit(ctx, c, done); err != nil {
		t.Fatal(err)
	}
	want := []string{"queued", "running", "queued", "running", "progress", "done"}
	if got := types(drain(t, q, made.ID, "")); !slices.Equal(got, want) {
		t.Fatalf("events %v", got)
	}
	page, more, err := q.List(ctx, shop, queue.Filter{State: queue.Done}, queue.Position{}, 10)
	if err != nil || more || len(page) != 1 {
		t.Fatalf("listed %+v, %v", page, err)
	}
	eventually(t, "the idempotency key expired", func() bool {
		again, err := q.Create(ctx, keyed(2, "key", "body"))
		return err == nil && !again.Replayed
	})
}

func TestARestartOfTheEmbeddedQueueLosesNothing(t *testing.T) {
	folder := t.TempDir()
	q, end := embed(t, folder)
	for n := 1; n <= 3; n++ {
		if _, err := q.Create(t.Context(), job(n)); err != nil {
			t.Fatal(err)
		}
	}
	c, err := q.Claim(t.Context(), shop, "job_0001")
	if err != nil {
		t.Fatal(err)
	}
	if err := q.Commit(t.Context(), c, done); err != nil {
		t.Fatal(err)
	}
	if _, err := q.Claim(t.Context(), shop, "job_0002"); err != nil { // under way when the process dies
		t.Fatal(err)
	}
	end()
	q, end = embed(t, folder)
	t.Cleanup(end)
	rung := listen(t, q)
	if err := q.Sweep(t.Context()); err != nil { // the first, at the start
		t.Fatal(err)
	}
	eventually(t, "both open jobs rang", func() bool {
		return slices.Contains(rung(), "job_0002") && slices.Contains(rung(), "job_0003")
	})
	eventually(t, "the listing is whole", func() bool {
		page, _, err := q.List(t.Context(), shop, queue.Filter{}, queue.Position{}, 10)
		return err == nil && len(page) == 3 && page[2].State == queue.Done
	})
}

// A job is made, claimed by the worker whose turn it is, and ended once.
func Example() {
	folder, err := os.MkdirTemp("", "jobs")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(folder)
	redis, err := queue.StartEmbeddedRedis()
	if err != nil {
		panic(err)
	}
	defer redis.Close()
	films, err := store.OpenDir(folder)
	if err != nil {
		panic(err)
	}
	jobs, err := queue.New(queue.Config{Redis: redis.Client(), Store: films})
	if err != nil {
		panic(err)
	}
	defer jobs.Close()

	ctx := context.Background()
	made, err := jobs.Create(ctx, queue.NewJob{Shop: "default", ID: "job_1",
		Doc: []byte(`{"created_at": "2026-03-01T08:00:00Z", "order": {"quantity": 72}}`)})
	if err != nil {
		panic(err)
	}
	claim, err := jobs.Claim(ctx, "default", made.ID)
	if err != nil {
		panic(err)
	}
	fmt.Println("attempt", claim.Attempt)
	err = jobs.Commit(ctx, claim, queue.Outcome{State: queue.Done, Manifest: "shops/default/films/manifest.json"})
	fmt.Println(err)
	_, err = jobs.Claim(ctx, "default", made.ID)
	fmt.Println(err)
	// Output:
	// attempt 1
	// <nil>
	// job job_1 is done
}
