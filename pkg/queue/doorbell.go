package queue

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"sync/atomic"
	"time"

	"github.com/hibiken/asynq"
	"github.com/redis/go-redis/v9"
)

// taskType is the only asynq task there is.
const taskType = "job"

// taskTimeout has to be set, else asynq takes 30 minutes. Our own limits end a job long before; when asynq gives a
// task up, its handler goes on until it hears of it, so the handler never relies on asynq's context.
const taskTimeout = 24 * time.Hour

// taskRetries is for handlers that could not even claim (Redis away). At 0 a crash would archive the task unseen.
const taskRetries = 20

// ring is what a task carries: a job's name, nothing that could grow old.
type ring struct {
	Job  string `json:"job"`
	Shop string `json:"shop"`
}

// doorbell puts tasks into asynq and looks whether they stand.
type doorbell struct {
	client    atomic.Pointer[asynq.Client]
	inspector *asynq.Inspector
	prefix    string
}

func newDoorbell(client redis.UniversalClient, prefix string) *doorbell {
	d := &doorbell{inspector: asynq.NewInspectorFromRedisClient(client), prefix: prefix}
	d.renew(client)
	return d
}

// renew makes the doorbell announce its queues again: asynq's client remembers which ones it has announced, and when
// Redis was emptied the announcements are gone as well.
func (d *doorbell) renew(client redis.UniversalClient) {
	d.client.Store(asynq.NewClientFromRedisClient(client))
}

func (d *doorbell) queueName(lane Lane) string { return d.prefix + "-" + string(lane) }

func taskID(id string, epoch int) string { return fmt.Sprintf("%s-%d", id, epoch) }

// ring enqueues the task of this epoch. standing tells that it was there already.
func (d *doorbell) ring(ctx context.Context, shop, id string, lane Lane, epoch int) (standing bool, err error) {
	payload, err := json.Marshal(ring{Job: id, Shop: shop})
	if err != nil {
		return false, err
	}
	_, err = d.client.Load().EnqueueContext(ctx, asynq.NewTask(taskType, payload), asynq.Queue(d.queueName(lane)),
		asynq.TaskID(taskID(id, epoch)), asynq.MaxRetry(taskRetries), asynq.Timeout(taskTimeout))
	if errors.Is(err, asynq.ErrTaskIDConflict) {
		return true, nil
	}
	return false, err
}

// waiting tells whether the task of this epoch will still ring by itself. One that is active is on its way to a
// claim, or its worker died before it: a queued job should not have it for long.
func (d *doorbell) waiting(id string, lane Lane, epoch int) bool {
	info, err := d.inspector.GetTaskInfo(d.queueName(lane), taskID(id, epoch))
	if err != nil {
		return false
	}
	switch info.State {
	case asynq.TaskStatePending, asynq.TaskStateScheduled, asynq.TaskStateRetry:
		return true
	}
	return false
}

// Listener takes tasks from all lanes and hands the jobs they name to a handler.
type Listener struct {
	server *asynq.Server
	handle asynq.HandlerFunc
}

// Listen prepares a listener for up to workers jobs at once. handle gets the name of a job whose turn may have come;
// nil from it means the task has served, an error that it is to ring again soon. asynq may give a task up while
// handle still runs, so handle must bound itself; its ctx carries values only and is never cancelled by asynq.
// Shutdown comes before the queue's Close: asynq panics when its connection closes under it.
func (q *Queue) Listen(workers int, handle func(ctx context.Context, shop, id string) error) *Listener {
	weights := map[string]int{q.bell.queueName(Rush): 6, q.bell.queueName(Normal): 3, q.bell.queueName(Bulk): 1}
	server := asynq.NewServerFromRedisClient(q.redis, asynq.Config{
		Concurrency:              workers,
		Queues:                   weights,
		TaskCheckInterval:        50 * time.Millisecond, // idle poll; asynq does not block on Redis
		DelayedTaskCheckInterval: time.Second,
		RetryDelayFunc:           func(int, error, *asynq.Task) time.Duration { return time.Second },
		ShutdownTimeout:          time.Second, // the handlers have returned before: see Stop
		Logger:                   asynqLog{q.log},
		LogLevel:                 asynq.WarnLevel,
	})
	return &Listener{server: server, handle: func(ctx context.Context, task *asynq.Task) error {
		var r ring
		if err := json.Unmarshal(task.Payload(), &r); err != nil || !validName(r.Shop) || !validName(r.Job) {
			q.log.Error("queue: a task names no job", "task", task.ResultWriter().TaskID())
			return nil
		}
		return handle(context.WithoutCancel(ctx), r.Shop, r.Job)
	}}
}

// Start begins to take tasks.
func (l *Listener) Start() error { return redisFault(l.server.Start(l.handle)) }

// Stop takes no further task; handlers go on.
func (l *Listener) Stop() { l.server.Stop() }

// Shutdown ends the listener. The caller has waited for its handlers: asynq would put a task back in line while its
// handler still runs.
func (l *Listener) Shutdown() { l.server.Shutdown() }

// asynqLog passes asynq's warnings on.
type asynqLog struct{ log *slog.Logger }

func (a asynqLog) Debug(args ...any) { a.log.Debug("asynq", "says", fmt.Sprint(args...)) }
func (a asynqLog) Info(args ...any)  { a.log.Info("asynq", "says", fmt.Sprint(args...)) }
func (a asynqLog) Warn(args ...any)  { a.log.Warn("asynq", "says", fmt.Sprint(args...)) }
func (a asynqLog) Error(args ...any) { a.log.Error("asynq", "says", fmt.Sprint(args...)) }
func (a asynqLog) Fatal(args ...any) { a.log.Error("asynq", "says", fmt.Sprint(args...)) }
