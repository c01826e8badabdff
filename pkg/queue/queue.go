// Package queue holds jobs: their state, their turn, their end.
//
// What goes in: a job's document, written to the object store before anything else. What comes out: a claim for the
// worker whose turn it is, events for whoever watches, and one end per job. The documents are the truth; the record
// in Redis (a hash that only Lua scripts change, each by comparing first) can be rebuilt from them, so that losing all
// of Redis loses no job. asynq is a doorbell: its task carries a job's name and may ring twice, late or never.
//
//	shops/{shop}/jobs/{id}/job.json   the caller's bytes, immutable
//	shops/{shop}/open/{id}            stands while the job has not ended
//	shops/{shop}/jobs/{id}/begun.json how many attempts have begun; gone with the open marker
//	shops/{shop}/jobs/{id}/stop.json  somebody asked a running job to stop
//	shops/{shop}/jobs/{id}/end.json   the end, put once
//
// A worker holds a job by a token and a lease that it renews; whoever lost the token changes nothing any more.
// Leases and ends are timed by Redis, never by a worker's clock. The package does not know what a job makes.
package queue

import (
	"context"
	"log/slog"
	"time"

	"github.com/redis/go-redis/v9"

	"tamis/pkg/fault"
	"tamis/pkg/store"
)

// Config says where jobs are kept and how patient the queue is.
type Config struct {
	Redis    redis.UniversalClient // used, with ContextTimeoutEnabled, and left open by Close; nil = RedisURL
	RedisURL string                // redis://…, opened and closed by the queue
	Store    store.Store           // the documents; required
	Prefix   string                // of Redis keys and asynq queues, [a-z0-9-]; "" = tamis
	Log      *slog.Logger          // ids only; nil = slog.Default

	Lease       time.Duration // how long a silent worker keeps a job; 0 = 15 s
	SweepEvery  time.Duration // pause between two sweeps; 0 = 5 s
	RingAgain   time.Duration // a queued job's doorbell is looked at after this long; 0 = 60 s
	RetryPause  time.Duration // before the second attempt, doubled for the third; 0 = 2 s
	MaxAttempts int           // attempts that crash or fail on our side before a job ends as failed; 0 = 3
	MaxPerShop  int           // jobs of one shop at work at once; 0 = no limit
	Retention   time.Duration // how long Redis keeps the record of an ended job; 0 = 7 days
	Replay      time.Duration // how long an idempotency key answers; 0 = 24 h
}

// Queue is the jobs of all shops. Safe for concurrent use.
type Queue struct {
	cfg   Config
	redis redis.UniversalClient
	store store.Store
	log   *slog.Logger
	hub   *hub
	bell  *doorbell
	sweep *sweeper
}

// New connects to Redis. It starts one goroutine (wake-ups), which Close ends; the sweeper is RunSweeper's.
func New(cfg Config) (*Queue, error) {
	cfg = cfg.withDefaults()
	if !validPrefix(cfg.Prefix) {
		return nil, fault.Invalidf("", "queue_prefix", "the Redis prefix %.40q must be of a-z 0-9 and -", cfg.Prefix)
	}
	client := cfg.Redis
	if client == nil {
		options, err := redis.ParseURL(cfg.RedisURL)
		if err != nil {
			return nil, fault.Wrap(err, fault.Invalid, "redis_url", "the Redis address cannot be read")
		}
		options.ContextTimeoutEnabled = true // else a frozen Redis outlasts every deadline of ours
		client = redis.NewClient(options)
	}
	q := &Queue{cfg: cfg, redis: client, store: cfg.Store, log: cfg.Log}
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	if err := client.Ping(ctx).Err(); err != nil {
		q.closeRedis()
		return nil, redisFault(err)
	}
	q.hub = newHub(client, cfg.Prefix)
	q.bell = newDoorbell(client, cfg.Prefix)
	q.sweep = newSweeper(q)
	return q, nil
}

// Close ends the queue's goroutine and, where the queue opened it, the connection.
func (q *Queue) Close() error {
	q.hub.close()
	return q.closeRedis()
}

func (q *Queue) closeRedis() error {
	if q.cfg.Redis != nil {
		return nil
	}
	return q.redis.Close()
}

// Ping tells whether Redis answers.
func (q *Queue) Ping(ctx context.Context) error { return redisFault(q.redis.Ping(ctx).Err()) }

// Lease is how long a silent worker keeps a job; a heartbeat every third of it is right.
func (q *Queue) Lease() time.Duration { return q.cfg.Lease }

// withDefaults fills in what was left zero. The lease outlives two missed heartbeats; the sweep is shorter than the
// lease, so that a crash costs one lease and one sweep at most.
func (c Config) withDefaults() Config {
	setZero(&c.Prefix, "tamis")
	setZero(&c.Lease, 15*time.Second)
	setZero(&c.SweepEvery, 5*time.Second)
	setZero(&c.RingAgain, time.Minute)
	setZero(&c.RetryPause, 2*time.Second)
	setZero(&c.MaxAttempts, 3)
	setZero(&c.Retention, 7*24*time.Hour)
	setZero(&c.Replay, 24*time.Hour)
	if c.Log == nil {
		c.Log = slog.Default()
	}
	return c
}

func setZero[T comparable](field *T, value T) {
	var zero T
	if *field == zero {
		*field = value
	}
}

func redisFault(err error) error {
	if err == nil {
		return nil
	}
	return fault.Wrap(err, fault.Unavailable, "queue_unavailable", "Redis does not answer")
}
