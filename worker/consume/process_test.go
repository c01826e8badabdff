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

	"tamis/pkg/queue"
	"tamis/pkg/store"
	"tamis/worker/consume"
)

// workerVariable holds a workerPlan when this binary is to be a worker process instead of a test.
const workerVariable = "TAMIS_TEST_WORKER"

// workerPlan is what a worker process is told.
type workerPlan struct {
	Redis, Folder string // Redis "" = embedded, as the api has it without servers
	Create        int    // how many jobs to make at the start
	Endpoint      string // of an S3 server; "" = the folder
	AccessKey     string
	SecretKey     string
	Hang          bool // hold every job until the process is stopped; else finish each after a moment
	Die           bool // take the process down with every job, as running out of memory does
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
	cfg := settings(plan.Redis, films)
	if plan.Redis == "" {
		embedded, err := queue.StartEmbeddedRedis()
		if err != nil {
			return err
		}
		defer embedded.Close()
		cfg.Redis = embedded.Client()
	}
	jobs, err := queue.New(cfg)
	if err != nil {
		return err
	}
	defer jobs.Close()
	for n := 1; n <= plan.Create; n++ {
		if _, err := jobs.Create(ctx, newJob(n)); err != nil {
			return err
		}
	}
	fmt.Println("ready", plan.Name)
	return consume.Run(ctx, consume.Config{Queue: jobs, Concurrency: 4, Grace: -1, Log: quiet(),
		Work: func(ctx context.Context, _, id string, _ []byte, report func(int, int, string)) (queue.Outcome, error) {
			fmt.Println("began", id)
			if plan.Die {
				return queue.Outcome{}, syscall.Kill(os.Getpid(), syscall.SIGKILL)
			}
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

// spawn starts a worker process on the bench's servers.
func (b *bench) spawn(plan workerPlan) *worker {
	b.t.Helper()
	plan.Redis, plan.Folder = b.server.URL, b.folder
	if b.s3 != nil {
		plan.Endpoint, plan.AccessKey, plan.SecretKey = b.s3.Endpoint, b.s3.AccessKey, b.s3.SecretKey
	}
	return spawn(b.t, plan)
}

// spawn starts a worker process as planned and waits until it is ready.
func spawn(t *testing.T, plan workerPlan) *worker {
	t.Helper()
	text, err := json.Marshal(plan)
	if err != nil {
		t.Fatal(err)
	}
	w := &worker{cmd: exec.Command(os.Args[0])}
	w.cmd.Env = append(os.Environ(), workerVariable+"="+string(text))
	w.cmd.Stderr = os.Stderr
	pipe, err := w.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := w.cmd.Start(); err != nil {
		t.Fatal(err)
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
	t.Cleanup(func() {
		_ = w.cmd.Process.Kill()
		<-read
		_ = w.cmd.Wait()
	})
	eventually(t, plan.Name+" was ready", func() bool { return w.said("ready") > 0 })
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

// processGone tells whether a process has ended, without waiting for it.
func processGone(w *worker) bool {
	text, err := os.ReadFile(filepath.Join("/proc", fmt.Sprint(w.cmd.Process.Pid), "stat"))
	return err != nil || strings.Contains(string(text), ") Z ")
}
