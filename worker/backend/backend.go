// Package backend opens what both programs stand on: the object store and the queue.
//
// In go settings; out come a store that keeps its promises (or one clear line why not) and a queue. Embedded, the store
// is a folder and Redis runs in the process; otherwise both are real. It knows no HTTP and no trade.
package backend

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"golang.org/x/sys/unix"

	"tamis/pkg/artwork"
	"tamis/pkg/library"
	"tamis/pkg/produce"
	"tamis/pkg/queue"
	"tamis/pkg/separate"
	"tamis/pkg/settings"
	"tamis/pkg/store"
	"tamis/worker/consume"
	"tamis/worker/work"
)

// Backend is an open store and queue. Close it when the program ends.
type Backend struct {
	Library *library.Library
	Queue   *queue.Queue
	Limits  artwork.Limits
	Tables  *separate.Tables
	spool   string
	workers int
	log     *slog.Logger
	closers []func() error
}

// tablesKept is how many solved separations stay in memory: 12, with as many recipes that hold another, are some
// 100 MB, and a shop's usual inks on its usual garments.
const tablesKept = 12

// Open opens store and queue. The store is tried first: one that does not refuse a second conditional put cannot give
// each job one end, and is refused.
func Open(ctx context.Context, s settings.Settings, log *slog.Logger) (*Backend, error) {
	b := &Backend{Limits: artwork.Limits{MaxBytes: s.MaxBytes, MaxPixels: s.MaxPixels}, spool: s.Spool,
		Tables: separate.NewTables(tablesKept), workers: s.Workers, log: log}
	objects, err := b.openStore(ctx, s)
	if err != nil {
		return nil, errors.Join(err, b.Close())
	}
	if err := store.SelfTest(ctx, objects); err != nil {
		return nil, errors.Join(fmt.Errorf("the store does not keep its promises: %w", err), b.Close())
	}
	b.Library = library.New(objects)
	if s.Embedded() {
		b.Library.HoldPictures()
	}
	if err := b.openQueue(ctx, s, objects); err != nil {
		return nil, errors.Join(err, b.Close())
	}
	return b, nil
}

func (b *Backend) openStore(ctx context.Context, s settings.Settings) (store.Store, error) {
	if s.S3Endpoint != "" {
		return store.OpenBucket(ctx, store.BucketConfig{Endpoint: s.S3Endpoint, PublicEndpoint: s.S3Public,
			Bucket: s.S3Bucket, Region: s.S3Region, AccessKey: s.S3AccessKey, SecretKey: s.S3SecretKey, Secure: s.S3Secure})
	}
	spool := filepath.Join(s.Data, "spool")
	if err := os.MkdirAll(spool, 0o755); err != nil {
		return nil, fmt.Errorf("TAMIS_DATA: %w", err)
	}
	if b.spool == "" {
		b.spool = spool
	}
	if err := b.alone(s.Data); err != nil {
		return nil, err
	}
	return store.OpenDir(filepath.Join(s.Data, "store"))
}

// alone takes the folder for this process: two embedded queues over one folder would each make every job.
func (b *Backend) alone(data string) error {
	lock, err := os.OpenFile(filepath.Join(data, "lock"), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return fmt.Errorf("TAMIS_DATA: %w", err)
	}
	if err := unix.Flock(int(lock.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		lock.Close()
		return fmt.Errorf("TAMIS_DATA: another api works in %s", data)
	}
	b.closers = append(b.closers, lock.Close)
	return nil
}

func (b *Backend) openQueue(ctx context.Context, s settings.Settings, objects store.Store) error {
	config := queue.Config{RedisURL: s.RedisURL, Store: objects, Log: b.log}
	if s.Embedded() {
		embedded, err := queue.StartEmbeddedRedis()
		if err != nil {
			return err
		}
		b.closers = append(b.closers, embedded.Close)
		config.Redis = embedded.Client()
	}
	q, err := queue.New(config)
	if err != nil {
		return err
	}
	b.Queue = q
	b.closers = append(b.closers, q.Close)
	if s.Embedded() {
		return nil
	}
	findings, err := q.Findings(ctx)
	for _, f := range findings {
		b.log.Warn("redis endangers jobs under way", "finding", f)
	}
	return err
}

// Work works the queue until ctx is done, then drains.
func (b *Backend) Work(ctx context.Context) error {
	if err := produce.CleanSpool(b.spool, time.Now()); err != nil {
		b.log.Warn("spool not cleaned", "error", err)
	}
	return consume.Run(ctx, consume.Config{Queue: b.Queue, Concurrency: b.workers, Log: b.log,
		Work: work.New(work.Config{Library: b.Library, Limits: b.Limits, Tables: b.Tables, Spool: b.spool,
			Log: b.log})})
}

// Close closes queue and embedded Redis, the last opened first.
func (b *Backend) Close() error {
	var faults []error
	for i := len(b.closers) - 1; i >= 0; i-- {
		faults = append(faults, b.closers[i]())
	}
	return errors.Join(faults...)
}
