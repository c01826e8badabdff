package queue

import (
	"context"
	"errors"
	"strings"
	"time"

	"tamis/pkg/fault"
)

// startReindex rebuilds the index of ended jobs in the background, once at a time, and sets the epoch key when it is
// whole: while the key is missing, Redis is known to have forgotten.
func (s *sweeper) startReindex(ctx context.Context, shops []string) {
	select {
	case s.busy <- struct{}{}:
	default:
		return
	}
	s.reindex.Go(func() {
		defer func() { <-s.busy }()
		for _, shop := range shops {
			if err := s.reindexShop(ctx, shop); err != nil {
				if ctx.Err() == nil {
					s.q.log.Warn("queue: index of ended jobs", "shop", shop, "error", err)
				}
				return // the next sweep finds the key missing and begins again
			}
		}
		err := s.q.redis.Set(ctx, s.q.epochKey(), time.Now().UTC().Format(time.RFC3339), 0).Err()
		if err != nil && ctx.Err() == nil {
			s.q.log.Warn("queue: epoch", "error", err)
		}
	})
}

// reindexShop makes a record for every job that the documents know and Redis does not.
func (s *sweeper) reindexShop(ctx context.Context, shop string) error {
	prefix, after := "shops/"+shop+"/jobs/", ""
	for {
		page, err := s.q.store.List(ctx, prefix, after, sweepStep)
		if err != nil {
			return err
		}
		for _, info := range page {
			id, isJob := strings.CutSuffix(info.Key[len(prefix):], "/job.json")
			if !isJob || !validName(id) {
				continue
			}
			if err := s.recall(ctx, shop, id); err != nil {
				return err
			}
		}
		if len(page) < sweepStep {
			return nil
		}
		after = page[len(page)-1].Key
	}
}

// recall makes the record of an ended job again. An open one is its marker's; a document with neither marker nor end
// was written by a Create that died before the job was promised to anyone, and stays unlisted.
func (s *sweeper) recall(ctx context.Context, shop, id string) error {
	known, err := s.q.redis.Exists(ctx, s.q.recordKey(shop, id)).Result()
	if err != nil || known > 0 {
		return redisFault(err)
	}
	_, over, err := s.q.readEnd(ctx, shop, id)
	if err != nil || !over {
		return err
	}
	if err := s.q.rebuild(ctx, shop, id); err != nil && !errors.Is(err, ErrLost) && !fault.Is(err, fault.NotFound) {
		return err
	}
	return nil
}
