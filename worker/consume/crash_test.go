package consume_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"tamis/deploy/servers"
	"tamis/pkg/queue"
	"tamis/pkg/store"
	"tamis/worker/consume"
)

// workerVariable holds a workerPlan when this binary is to be a worker process instead of a test.
const workerVariable = "TAMIS_TEST_WORKER"

// workerPlan is what a worker process is told.
type workerPlan struct {
	Redis, Folder string
	Endpoint      string // of an S3 server; "" = the folder
	AccessKey     string
	SecretKey     string
	Hang          bool // hold every job until the process is stopped; else finish each after a moment
	Name          string
}

// TestMain lets the binary be a worker, so that a real process can be killed.
func TestMain(m *testing.M) {
	if plan := os.Getenv(workerVariable); plan != "" {
		if err := beWorker(plan); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// beWorker works the queue until it is terminated. It prints "ready", "began JOB" and "finished JOB".
func beWorker(text string) error {
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	var plan workerPlan
	if err := json.Unmarshal([]byte(text), &plan); err != nil {
		return err
	}
	films, err := plan.store(ctx)
	if err != nil {
		return err
	}
	jobs, err := queue.New(settings(plan.Redis, films))
	if err != nil {
		return err
	}
	defer jobs.Close()
	fmt.Println("ready", plan.Name)
	return consume.Run(ctx, consume.Config{Queue: jobs, Concurrency: 4, Grace: -1, Log: quiet(),
		Work: func(ctx context.Context, _, id string, _ []byte, report func(int, int, string)) (queue.Outcome, error) {
			fmt.Println("began", id)
			for n := 0; plan.Hang || n < 10; n++ {
				select {
				case <-ctx.Done():
					return queue.Outcome{}, ctx.Err()
				case <-time.After(20 * time.Millisecond):
					report(n, 10, plan.Name)
				}
			}
			fmt.Println("finished", id)
			return done(id), nil
		}})
}

func (p workerPlan) store(ctx context.Context) (store.Store, error) {
	if p.Endpoint == "" {
		return store.OpenDir(p.Folder)
	}
	return store.OpenBucket(ctx, store.BucketConfig{Endpoint: p.Endpoint, Bucket: "films", AccessKey: p.AccessKey,
		SecretKey: p.SecretKey})
}

// worker is a worker process.
type worker struct {
	cmd *exec.Cmd
	mu  sync.Mutex
	out []string
}

// spawn starts a worker process and waits until it is ready.
func (b *bench) spawn(plan workerPlan) *worker {
	b.t.Helper()
	plan.Redis, plan.Folder = b.server.URL, b.folder
	if b.s3 != nil {
		plan.Endpoint, plan.AccessKey, plan.SecretKey = b.s3.Endpoint, b.s3.AccessKey, b.s3.SecretKey
	}
	text, err := json.Marshal(plan)
	if err != nil {
		b.t.Fatal(err)
	}
	w := &worker{cmd: exec.Command(os.Args[0])}
	w.cmd.Env = append(os.Environ(), workerVariable+"="+string(text))
	w.cmd.Stderr = os.Stderr
	pipe, err := w.cmd.StdoutPipe()
	if err != nil {
		b.t.Fatal(err)
	}
	if err := w.cmd.Start(); err != nil {
		b.t.Fatal(err)
	}
	read := make(chan struct{})
	go func() {
		defer close(read)
		for lines := bufio.NewScanner(pipe); lines.Scan(); {
			w.mu.Lock()
			w.out = append(w.out, lines.Text())
			w.mu.Unlock()
		}
	}()
	b.t.Cleanup(func() {
		_ = w.cmd.Process.Kill()
		<-read
		_ = w.cmd.Wait()
	})
	eventually(b.t, plan.Name+" was ready", func() bool { return w.said("ready") > 0 })
	return w
}

// said counts the lines that begin with a word.
func (w *worker) said(word string) int {
	w.mu.Lock()
	defer w.mu.Unlock()
	n := 0
	for _, line := range w.out {
		if strings.HasPrefix(line, word) {
			n++
		}
	}
	return n
}

func (w *worker) signal(t *testing.T, s os.Signal) {
	t.Helper()
	if err := w.cmd.Process.Signal(s); err != nil {
		t.Fatal(err)
	}
}

// endedOnce checks that a job has one end, in its events, its record and its documents.
func (b *bench) endedOnce(id string, state queue.State) {
	b.t.Helper()
	if r := b.ended(id); r.State != state {
		b.t.Errorf("%s is %s: %+v", id, r.State, r.Problem)
	}
	ends := 0
	for _, kind := range b.events(id) {
		if queue.State(kind).Ended() {
			ends++
		}
	}
	if ends != 1 {
		b.t.Errorf("%s ended %d times", id, ends)
	}
	eventually(b.t, id+" has its end in the documents", func() bool {
		doc, _, err := store.ReadAll(b.t.Context(), b.store, "shops/linden/jobs/"+id+"/end.json", 1<<20)
		_, open := b.store.Stat(b.t.Context(), "shops/linden/open/"+id)
		return err == nil && strings.Contains(string(doc), string(state)) && open != nil
	})
}

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

// processGone tells whether a process has ended, without waiting for it.
func processGone(w *worker) bool {
	text, err := os.ReadFile(filepath.Join("/proc", fmt.Sprint(w.cmd.Process.Pid), "stat"))
	return err != nil || strings.Contains(string(text), ") Z ")
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
func TestAFrozenRedisCostsAnAttemptAndNothingElse(t *testing.T) {
	b := newBench(t)
	w := b.spawn(workerPlan{Name: "only", Hang: true})
	id := b.create(1)
	eventually(t, "the job began", func() bool { return w.said("began") == 1 })
	b.server.Freeze()
	time.Sleep(3 * b.cfg.Lease)
	b.server.Thaw()
	eventually(t, "the job began again", func() bool { return w.said("began") == 2 })
	b.spawn(workerPlan{Name: "heir"})
	w.signal(t, syscall.SIGTERM)
	b.endedOnce(id, queue.Done)
	if r := b.get(id); r.Attempts != 2 {
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
