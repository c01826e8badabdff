package queue

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"

	"tamis/pkg/fault"
)

// sweeper finishes what a crash left half done. One process sweeps at a time, chosen by a lock; each step is safe to
// do twice, so the lock saves work and nothing depends on it.
type sweeper struct {
	q       *Queue
	name    string // of this process, in the lock
	pass    int
	reindex sync.WaitGroup
	busy    chan struct{} // holds a value while the index of ended jobs is rebuilt
}

// markersEvery is how many passes lie between two readings of the open markers, when nothing says Redis was emptied.
const markersEvery = 12

// shopsAtOnce is how many shops one round trip asks for what is due.
const shopsAtOnce = 200

// sweepStep is how many rows of a kind a pass takes from a shop.
const sweepStep = 500

func newSweeper(q *Queue) *sweeper {
	var random [8]byte
	rand.Read(random[:])
	return &sweeper{q: q, name: hex.EncodeToString(random[:]), busy: make(chan struct{}, 1)}
}

// RunSweeper sweeps at once and then every SweepEvery, until ctx is done. Every process that has a queue runs it.
func (q *Queue) RunSweeper(ctx context.Context) {
	defer q.sweep.reindex.Wait()
	timer := time.NewTicker(q.cfg.SweepEvery)
	defer timer.Stop()
	for {
		if err := q.Sweep(ctx); err != nil && ctx.Err() == nil {
			q.log.Warn("queue: sweep", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-timer.C:
		}
	}
}

// Sweep does one pass, if this process holds the lock: dead leases back in line or failed, doorbells that do not
// stand rung, ends taken to the documents, jobs that Redis has lost made again. Not for concurrent use.
func (q *Queue) Sweep(ctx context.Context) error {
	s := q.sweep
	lead, err := s.lead(ctx)
	if err != nil || !lead {
		return err
	}
	emptied, err := q.redis.Exists(ctx, q.epochKey()).Result()
	if err != nil {
		return redisFault(err)
	}
	lost := emptied == 0
	shops, err := s.shops(ctx, lost || s.pass == 0)
	if err != nil {
		return err
	}
	if lost {
		q.bell.renew(q.redis)
	}
	var all error
	if lost || s.pass%markersEvery == 0 {
		for _, shop := range shops {
			all = errors.Join(all, s.eachMarker(ctx, shop))
		}
	}
	for some := range slices.Chunk(shops, shopsAtOnce) {
		all = errors.Join(all, s.eachDue(ctx, some))
	}
	s.pass++
	if lost && all == nil {
		s.startReindex(ctx, shops)
	}
	return all
}

func (q *Queue) shopsKey() string { return q.cfg.Prefix + ":shops" }
func (q *Queue) epochKey() string { return q.cfg.Prefix + ":epoch" }

// lead takes or renews the lock. It outlives three pauses, so that a slow pass keeps it.
func (s *sweeper) lead(ctx context.Context) (bool, error) {
	key, ttl := s.q.cfg.Prefix+":sweeper", 3*s.q.cfg.SweepEvery
	won, err := s.q.redis.SetNX(ctx, key, s.name, ttl).Result()
	if err != nil || won {
		return won, redisFault(err)
	}
	holder, err := s.q.redis.Get(ctx, key).Result()
	if errors.Is(err, redisNil) || err == nil && holder != s.name {
		return false, nil
	}
	if err != nil {
		return false, redisFault(err)
	}
	return true, redisFault(s.q.redis.PExpire(ctx, key, ttl).Err())
}

// shops gives the shops Redis knows and, when it may have forgotten some, those of the documents.
func (s *sweeper) shops(ctx context.Context, fromStore bool) ([]string, error) {
	known, err := s.q.redis.SMembers(ctx, s.q.shopsKey()).Result()
	if err != nil || !fromStore {
		return known, redisFault(err)
	}
	var shops []string
	after := ""
	for {
		next, err := s.q.store.List(ctx, "shops/", after, 1)
		if err != nil || len(next) == 0 {
			break
		}
		shop := shopOf(next[0].Key)
		after = "shops/" + shop + "0" // "0" follows "/": the next key is another shop's
		if validName(shop) {
			shops = append(shops, shop)
		}
	}
	for _, shop := range shops {
		if err := s.q.redis.SAdd(ctx, s.q.shopsKey(), shop).Err(); err != nil {
			return nil, redisFault(err)
		}
	}
	return shops, nil
}

// eachDue tends the rows of shops whose time has come, by Redis's clock: dead leases first, since they make doorbells.
func (s *sweeper) eachDue(ctx context.Context, shops []string) error {
	now, err := s.q.redis.Time(ctx).Result()
	if err != nil {
		return redisFault(err)
	}
	until := &redis.ZRangeBy{Min: "-inf", Max: strconv.FormatInt(now.UnixMilli(), 10), Count: sweepStep}
	var all error
	for _, row := range []struct {
		key  string
		tend func(ctx context.Context, shop, id string) error
	}{
		{"leases", s.dead}, {"ring", s.ring}, {"ends", s.q.writeEnd},
	} {
		due, err := s.due(ctx, shops, row.key, until)
		if err != nil {
			return err
		}
		for _, d := range due {
			if err := row.tend(ctx, d.shop, d.id); err != nil && !errors.Is(err, ErrLost) {
				all = errors.Join(all, fmt.Errorf("job %s: %w", d.id, err))
			}
		}
	}
	return all
}

// row is a job in one of a shop's sets.
type row struct{ shop, id string }

// due gives the rows of one set of each shop, in one round trip.
func (s *sweeper) due(ctx context.Context, shops []string, key string, until *redis.ZRangeBy) ([]row, error) {
	pipe := s.q.redis.Pipeline()
	answers := make([]*redis.StringSliceCmd, len(shops))
	for i, shop := range shops {
		answers[i] = pipe.ZRangeByScore(ctx, s.q.base(shop)+key, until)
	}
	if _, err := pipe.Exec(ctx); err != nil {
		return nil, redisFault(err)
	}
	var rows []row
	for i, shop := range shops {
		for _, id := range answers[i].Val() {
			rows = append(rows, row{shop, id})
		}
	}
	return rows, nil
}

// dead puts a job whose worker fell silent back in line, or ends it when that happened too often.
func (s *sweeper) dead(ctx context.Context, shop, id string) error {
	_, err := s.q.giveBack(ctx, shop, id, "dead", "", "0", poison(s.q.cfg.MaxAttempts))
	return err
}

// ring makes sure that a queued job has a doorbell that will ring.
func (s *sweeper) ring(ctx context.Context, shop, id string) error {
	h, err := s.q.redis.HMGet(ctx, s.q.recordKey(shop, id), "lane", "epoch").Result()
	if err != nil {
		return redisFault(err)
	}
	lane, _ := h[0].(string)
	epoch, _ := h[1].(string)
	if lane == "" {
		return redisFault(s.q.redis.ZRem(ctx, s.q.base(shop)+"ring", id).Err()) // the record is gone
	}
	if s.q.bell.waiting(id, Lane(lane), number(epoch)) {
		_, err = s.q.run(ctx, ringLua, shop, id, "rung", ms(s.q.cfg.RingAgain))
		return err
	}
	answer, err := s.q.run(ctx, ringLua, shop, id, "again", "0")
	if err != nil || answer[0] != "queued" {
		return err
	}
	return s.q.ringNow(ctx, shop, id, Lane(answer[1]), number(answer[2]))
}

// eachMarker makes the records of open jobs again that Redis has lost.
func (s *sweeper) eachMarker(ctx context.Context, shop string) error {
	prefix, after := "shops/"+shop+"/open/", ""
	var all error
	for {
		page, err := s.q.store.List(ctx, prefix, after, sweepStep)
		if err != nil {
			return errors.Join(all, err)
		}
		for _, marker := range page {
			all = errors.Join(all, s.marker(ctx, shop, marker.Key[len(prefix):]))
		}
		if len(page) < sweepStep {
			return all
		}
		after = page[len(page)-1].Key
	}
}

func (s *sweeper) marker(ctx context.Context, shop, id string) error {
	known, err := s.q.redis.Exists(ctx, s.q.recordKey(shop, id)).Result()
	if err != nil || known > 0 {
		return redisFault(err)
	}
	err = s.q.rebuild(ctx, shop, id)
	if fault.Is(err, fault.NotFound) {
		return nil
	}
	return err
}
