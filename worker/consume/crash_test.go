package consume_test

import (
	"context"
	"fmt"
	"strings"
	"syscall"
	"testing"
	"time"

	"tamis/deploy/servers"
	"tamis/pkg/queue"
	"tamis/pkg/store"
)

func TestAJobOfAKilledWorkerIsFinishedByAnotherOnce(t *testing.T) {
	b := newBench(t)
	victim := b.spawn(workerPlan{Name: "victim", Hang: true})
	id := b.create(1)
	eventually(t, "the job began", func() bool { return victim.said("began") == 1 })
	heir := b.spawn(workerPlan{Name: "heir"})
	victim.signal(t, syscall.SIGKILL)
	b.endedOnce(id, queue.Done)
	if r := b.get(id); r.Attempts != 2 || heir.said("finished") != 1 {
		t.Fatalf("finished %d times, %+v", heir.said("finished"), r)
	}
}

func TestAFrozenWorkerThatWakesUpChangesNothing(t *testing.T) {
	b := newBench(t)
	frozen := b.spawn(workerPlan{Name: "frozen"})
	id := b.create(1)
	eventually(t, "the job began", func() bool { return frozen.said("began") == 1 })
	frozen.signal(t, syscall.SIGSTOP)
	b.spawn(workerPlan{Name: "heir"})
	b.endedOnce(id, queue.Done)
	before := b.get(id)
	frozen.signal(t, syscall.SIGCONT) // longer than its lease, and it goes on where it stood
	second := b.create(2)
	b.endedOnce(second, queue.Done)
	// Either it heard of the loss before it finished, or its commit was refused: the record is the same.
	frozen.signal(t, syscall.SIGTERM)
	eventually(t, "the woken worker ended", func() bool { return processGone(frozen) })
	if after := b.get(id); after != before {
		t.Fatalf("before %+v, after %+v", before, after)
	}
	b.endedOnce(id, queue.Done)
}

func TestAJobThatTakesItsWorkerDownThreeTimesIsPoison(t *testing.T) {
	b := newBench(t)
	id := b.create(1)
	for attempt := 1; attempt <= 3; attempt++ {
		w := b.spawn(workerPlan{Name: "victim", Hang: true})
		eventually(t, "the job began", func() bool { return w.said("began") == 1 })
		w.signal(t, syscall.SIGKILL)
	}
	b.spawn(workerPlan{Name: "sweeper"})
	b.endedOnce(id, queue.Failed)
	if r := b.get(id); r.Attempts != 3 || r.Problem == nil || r.Problem.Code != "poison" {
		t.Fatalf("%+v, %+v", r, r.Problem)
	}
}

func TestATerminatedWorkerGivesItsJobBackUncounted(t *testing.T) {
	b := newBench(t)
	first := b.spawn(workerPlan{Name: "first", Hang: true})
	id := b.create(1)
	eventually(t, "the job began", func() bool { return first.said("began") == 1 })
	first.signal(t, syscall.SIGTERM)
	eventually(t, "the worker ended", func() bool { return processGone(first) })
	if r := b.get(id); r.State != queue.Queued || r.Attempts != 0 {
		t.Fatalf("%+v", r)
	}
	b.spawn(workerPlan{Name: "second"})
	b.endedOnce(id, queue.Done)
}

func TestRedisEmptiedWithTenJobsUnderWayLosesNone(t *testing.T) {
	t.Run("documents in a folder", func(t *testing.T) { emptyRedis(t, newBench(t)) })
	t.Run("documents in a bucket", func(t *testing.T) {
		s3 := servers.S3(t)
		plan := workerPlan{Endpoint: s3.Endpoint, AccessKey: s3.AccessKey, SecretKey: s3.SecretKey}
		bucket, err := plan.store(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		b := newBench(t, func(c *queue.Config) { c.Store = bucket })
		b.store, b.s3 = bucket, &s3
		emptyRedis(t, b)
	})
}

func emptyRedis(t *testing.T, b *bench) {
	workers := []*worker{b.spawn(workerPlan{Name: "one"}), b.spawn(workerPlan{Name: "two"})}
	var ids []string
	for n := 1; n <= 10; n++ {
		ids = append(ids, b.create(n))
	}
	eventually(t, "some were at work and some done", func() bool {
		return workers[0].said("finished")+workers[1].said("finished") >= 2
	})
	if err := b.redis.FlushAll(t.Context()).Err(); err != nil {
		t.Fatal(err)
	}
	for _, id := range ids {
		b.endedOnce(id, queue.Done)
	}
	eventually(t, "all are listed", func() bool {
		page, _, err := b.List(t.Context(), shop, queue.Filter{State: queue.Done}, queue.Position{}, 100)
		return err == nil && len(page) == 10
	})
}

// The api without servers: queue, store and worker die together, and the next start finishes what was under way.
func TestAKilledEmbeddedProcessIsContinuedByTheNext(t *testing.T) {
	t.Parallel()
	plan := workerPlan{Folder: t.TempDir(), Name: "first", Create: 10}
	first := spawn(t, plan)
	eventually(t, "some were done and some under way", func() bool {
		return first.said("finished") >= 2 && first.said("began") > first.said("finished")
	})
	first.signal(t, syscall.SIGKILL)
	eventually(t, "it was gone", func() bool { return processGone(first) })
	plan.Name, plan.Create = "second", 0
	spawn(t, plan)
	films, err := store.OpenDir(plan.Folder)
	if err != nil {
		t.Fatal(err)
	}
	for n := 1; n <= 10; n++ {
		id := newJob(n).ID
		eventually(t, id+" ended", func() bool {
			doc, _, err := store.ReadAll(t.Context(), films, "shops/linden/jobs/"+id+"/end.json", 1<<20)
			_, open := films.Stat(t.Context(), "shops/linden/open/"+id)
			return err == nil && strings.Contains(string(doc), `"done"`) && open != nil
		})
	}
}

// Its Redis dies with it and forgets the attempts; the documents do not.
func TestAJobThatTakesItsEmbeddedProcessDownThreeTimesIsPoison(t *testing.T) {
	t.Parallel()
	plan := workerPlan{Folder: t.TempDir(), Name: "victim", Create: 1, Die: true}
	for start := 1; start <= 3; start++ {
		w := spawn(t, plan)
		eventually(t, "it was gone", func() bool { return processGone(w) })
		if w.said("began") != 1 {
			t.Fatalf("start %d began %d jobs", start, w.said("began"))
		}
		plan.Create = 0
	}
	last := spawn(t, plan)
	films, err := store.OpenDir(plan.Folder)
	if err != nil {
		t.Fatal(err)
	}
	base := "shops/linden/jobs/" + newJob(1).ID
	eventually(t, "the job ended", func() bool {
		doc, _, err := store.ReadAll(t.Context(), films, base+"/end.json", 1<<20)
		_, open := films.Stat(t.Context(), "shops/linden/open/"+newJob(1).ID)
		return err == nil && strings.Contains(string(doc), `"failed"`) && strings.Contains(string(doc), `"poison"`) &&
			strings.Contains(string(doc), `"attempts":3`) && open != nil
	})
	if _, err := films.Stat(t.Context(), base+"/begun.json"); err == nil || processGone(last) || last.said("began") > 0 {
		t.Errorf("the fourth start began %d jobs; the count was left behind: %v", last.said("began"), err == nil)
	}
}

// A stop that was asked for gives the attempt back, also in the documents: an embedded process may be restarted often.
func TestAnEmbeddedProcessThatIsStoppedInTimeCountsNoAttempt(t *testing.T) {
	t.Parallel()
	plan := workerPlan{Folder: t.TempDir(), Name: "stopped", Create: 1, Hang: true}
	for range 4 {
		w := spawn(t, plan)
		eventually(t, "the job began", func() bool { return w.said("began") == 1 })
		w.signal(t, syscall.SIGTERM)
		eventually(t, "it was gone", func() bool { return processGone(w) })
		plan.Create = 0
	}
	plan.Hang = false
	w := spawn(t, plan)
	eventually(t, "the job was done", func() bool { return w.said("finished") == 1 })
}

// Redis is killed and comes back with nothing, while workers and callers stay.
func TestARedisThatComesBackEmptyLosesNoJob(t *testing.T) {
	b := newBench(t)
	w := b.spawn(workerPlan{Name: "only"})
	for n := 1; n <= 6; n++ {
		b.create(n)
	}
	eventually(t, "some were done", func() bool { return w.said("finished") >= 1 })
	b.server.Restart()
	for n := 1; n <= 6; n++ {
		id := fmt.Sprintf("job_%04d", n)
		eventually(t, "Redis answers", func() bool { return b.Ping(t.Context()) == nil })
		b.endedOnce(id, queue.Done)
	}
	b.endedOnce(b.create(7), queue.Done)
}

// For longer than a lease nothing answers; the worker gives its claim up, and the job is done again, once.
// A heartbeat on its way when Redis thaws may still renew the claim; else the job begins again.
func TestAFrozenRedisCostsAnAttemptAtMost(t *testing.T) {
	b := newBench(t)
	w := b.spawn(workerPlan{Name: "only", Hang: true})
	id := b.create(1)
	eventually(t, "the job began", func() bool { return w.said("began") == 1 })
	b.server.Freeze()
	time.Sleep(3 * b.cfg.Lease)
	b.server.Thaw()
	b.spawn(workerPlan{Name: "heir"})
	w.signal(t, syscall.SIGTERM)
	b.endedOnce(id, queue.Done)
	if r := b.get(id); r.Attempts > 2 {
		t.Fatalf("%+v", r)
	}
}

// The store stands still while a job is to be read and its end to be written.
func TestAFrozenStoreDelaysTheEndAndNothingElse(t *testing.T) {
	s3 := servers.S3(t)
	plan := workerPlan{Endpoint: s3.Endpoint, AccessKey: s3.AccessKey, SecretKey: s3.SecretKey}
	bucket, err := plan.store(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	b := newBench(t, func(c *queue.Config) { c.Store, c.Lease = bucket, 5*time.Second })
	b.store, b.s3 = bucket, &s3
	b.run(func(_ context.Context, _, id string, _ []byte, _ func(int, int, string)) (queue.Outcome, error) {
		s3.Freeze()
		time.AfterFunc(500*time.Millisecond, s3.Thaw)
		return done(id), nil
	})
	id := b.create(1)
	b.endedOnce(id, queue.Done)
	if r := b.get(id); r.Attempts != 1 {
		t.Fatalf("%+v", r)
	}
}
