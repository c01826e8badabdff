package consume_test

import (
	"context"
	"fmt"
	"os"

	"tamis/pkg/queue"
	"tamis/pkg/store"
	"tamis/worker/consume"
)

// The api without any server beside it: an embedded Redis, a folder, and a worker in the same process.
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
	jobs, err := queue.New(queue.Config{Redis: redis.Client(), Store: films, Log: quiet()})
	if err != nil {
		panic(err)
	}
	defer jobs.Close()

	ctx, stop := context.WithCancel(context.Background())
	stopped := make(chan error, 1)
	go func() {
		stopped <- consume.Run(ctx, consume.Config{Queue: jobs, Log: quiet(),
			Work: func(_ context.Context, shop, id string, doc []byte, report func(int, int, string)) (queue.Outcome, error) {
				report(4, 4, "films")
				return queue.Outcome{State: queue.Done, Manifest: "shops/" + shop + "/films/manifest.json"}, nil
			}})
	}()
	made, err := jobs.Create(ctx, queue.NewJob{Shop: "default", ID: "job_1",
		Doc: []byte(`{"created_at": "2026-03-01T08:00:00Z", "order": {"quantity": 72}}`)})
	if err != nil {
		panic(err)
	}
	events, err := jobs.Events(ctx, "default", made.ID, "")
	if err != nil {
		panic(err)
	}
	for e := range events {
		fmt.Println(e.Type, e.Done, "of", e.Total)
	}
	stop()
	fmt.Println("worker:", <-stopped)
	// Output:
	// queued 0 of 0
	// running 0 of 0
	// progress 4 of 4
	// done 4 of 4
	// worker: <nil>
}
