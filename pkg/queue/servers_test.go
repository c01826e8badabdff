package queue_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"tamis/deploy/servers"
	"tamis/pkg/fault"
	"tamis/pkg/queue"
	"tamis/pkg/store"
)

func TestFindingsNameTheSettingsThatEndangerJobs(t *testing.T) {
	for _, row := range []struct {
		args []string
		want []string
	}{
		{[]string{"--appendonly", "yes"}, nil},
		{nil, []string{"appendonly"}},
		{[]string{"--maxmemory-policy", "allkeys-lru"}, []string{"allkeys-lru", "appendonly"}},
	} {
		b := newBenchHere(t, func(c *queue.Config) { c.RedisURL = servers.Redis(t, row.args...).URL })
		got, err := b.Findings(t.Context())
		if err != nil || len(got) != len(row.want) {
			t.Fatalf("%v: %q, %v", row.args, got, err)
		}
		for i, want := range row.want {
			if !strings.Contains(got[i], want) {
				t.Errorf("%v: %q does not name %s", row.args, got[i], want)
			}
		}
	}
	q, end := embed(t, t.TempDir())
	defer end()
	if got, err := q.Findings(t.Context()); len(got) > 0 || err != nil {
		t.Errorf("the embedded Redis: %q, %v", got, err)
	}
}

func TestAQueueThatCannotStartSaysWhy(t *testing.T) {
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		cfg  queue.Config
		code string
	}{
		{queue.Config{RedisURL: "http://127.0.0.1", Store: dir}, "redis_url"},
		{queue.Config{RedisURL: "redis://127.0.0.1:1/0", Store: dir}, "queue_unavailable"},
		{queue.Config{RedisURL: servers.Redis(t).URL, Store: dir, Prefix: "a{b}"}, "queue_prefix"},
	} {
		if _, err := queue.New(row.cfg); err == nil || fault.Of(err).Code != row.code {
			t.Errorf("want %s, got %v", row.code, err)
		}
	}
}

// A cluster refuses a script that touches two slots. All of a shop is in one.
func TestAClusterModeRedisServes(t *testing.T) {
	server := servers.Redis(t, "--cluster-enabled", "yes")
	single := redis.NewClient(&redis.Options{Addr: server.Addr})
	defer single.Close()
	if err := single.ClusterAddSlotsRange(t.Context(), 0, 16383).Err(); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the cluster stands", func() bool {
		return strings.Contains(single.ClusterInfo(t.Context()).Val(), "cluster_state:ok")
	})
	cluster := redis.NewClusterClient(&redis.ClusterOptions{Addrs: []string{server.Addr}, ContextTimeoutEnabled: true})
	t.Cleanup(func() { cluster.Close() })
	b := newBench(t, func(c *queue.Config) { c.Redis, c.MaxPerShop = cluster, 1 })
	first := b.create(t, jobAs(1, queue.Rush, "ref", "batch_1"))
	second := b.create(t, keyed(2, "key", "body"))
	c := b.claim(t, first)
	_, err := b.Claim(t.Context(), shop, second)
	wantCode(t, err, fault.Conflict, "shop_full")
	if err := b.Progress(t.Context(), c, 1, 2, "screen"); err != nil {
		t.Fatal(err)
	}
	rung := listen(t, b.Queue)
	if err := b.Commit(t.Context(), c, done); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the bell rang", func() bool { return slices.Contains(rung(), second) })
	b.claim(t, second)
	eventually(t, "the dead lease was swept", func() bool { b.sweep(t); return b.get(t, second).State == queue.Queued })
	if err := b.Cancel(t.Context(), shop, second); err != nil {
		t.Fatal(err)
	}
	if got := pages(t, b, queue.Filter{}, 1, func(int) {}); !slices.Equal(got, names(2, 1, 1)) {
		t.Fatalf("listed %v", got)
	}
	if got := types(drain(t, b.Queue, first, "")); !slices.Equal(got, []string{"queued", "running", "progress", "done"}) {
		t.Fatalf("events %v", got)
	}
}

func TestTheBucketHoldsTheDocumentsAsWell(t *testing.T) {
	s3 := servers.S3(t)
	bucket, err := store.OpenBucket(t.Context(), store.BucketConfig{Endpoint: s3.Endpoint, Bucket: "films",
		AccessKey: s3.AccessKey, SecretKey: s3.SecretKey})
	if err != nil {
		t.Fatal(err)
	}
	b := newBench(t, func(c *queue.Config) { c.Store = bucket })
	b.store = bucket
	ended, open := b.create(t, keyedNow("key", "body")), b.create(t, job(2))
	if err := b.Commit(t.Context(), b.claim(t, ended), done); err != nil {
		t.Fatal(err)
	}
	other := job(3)
	other.Shop = "linden-2" // sorts before "linden/": shops are found one by one
	if _, err := b.Create(t.Context(), other); err != nil {
		t.Fatal(err)
	}
	b.redis.FlushAll(t.Context())
	b.recover(t)
	for id, state := range map[string]queue.State{ended: queue.Done, open: queue.Queued} {
		if n := b.redis.Exists(t.Context(), "tamis:{linden}:job:"+id).Val(); n != 1 || b.get(t, id).State != state {
			t.Errorf("%s: %d records, %s", id, n, b.get(t, id).State)
		}
	}
	if n := b.redis.Exists(t.Context(), "tamis:{linden-2}:job:job_0003").Val(); n != 1 {
		t.Error("the other shop's job was not found")
	}
	again := keyedNow("key", "body")
	again.ID = "job_again"
	if made, err := b.Create(t.Context(), again); err != nil || made.ID != ended {
		t.Fatalf("%+v, %v", made, err)
	}
}

// A Redis that stands still for longer than a lease and goes on: the claim is given up, the job done again, once.
func TestAFrozenRedisEndsNoJobTwice(t *testing.T) {
	b := newBench(t)
	id := b.create(t, job(1))
	stale := b.claim(t, id)
	b.server.Freeze()
	ctx, cancel := context.WithTimeout(t.Context(), 100*time.Millisecond)
	defer cancel()
	if _, err := b.Extend(ctx, stale); err == nil {
		t.Fatal("a frozen Redis answers")
	}
	time.Sleep(b.cfg.Lease)
	b.server.Thaw()
	eventually(t, "the dead lease was swept", func() bool {
		return b.Sweep(t.Context()) == nil && b.get(t, id).State == queue.Queued
	})
	c := b.claim(t, id)
	if err := b.Commit(t.Context(), stale, done); !isLost(err) {
		t.Fatal(err)
	}
	if err := b.Commit(t.Context(), c, done); err != nil {
		t.Fatal(err)
	}
}

func BenchmarkCreateClaimCommit(b *testing.B) {
	for _, kind := range []string{"redis", "embedded"} {
		b.Run(kind, func(b *testing.B) {
			dir, err := store.OpenDir(b.TempDir())
			if err != nil {
				b.Fatal(err)
			}
			cfg := queue.Config{Store: dir, Log: quiet()}
			if kind == "redis" {
				cfg.RedisURL = servers.Redis(b).URL
			} else {
				embedded, err := queue.StartEmbeddedRedis()
				if err != nil {
					b.Fatal(err)
				}
				defer embedded.Close()
				cfg.Redis = embedded.Client()
			}
			q, err := queue.New(cfg)
			if err != nil {
				b.Fatal(err)
			}
			defer q.Close()
			b.ReportAllocs()
			for n := 0; b.Loop(); n++ {
				j := job(n % 60)
				j.ID = fmt.Sprintf("job_%08d", n)
				if _, err := q.Create(b.Context(), j); err != nil {
					b.Fatal(err)
				}
				c, err := q.Claim(b.Context(), shop, j.ID)
				if err != nil {
					b.Fatal(err)
				}
				if err := q.Commit(b.Context(), c, done); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkSweepOfAThousandIdleShops(b *testing.B) {
	dir, err := store.OpenDir(b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	server := servers.Redis(b)
	q, err := queue.New(queue.Config{RedisURL: server.URL, Store: dir, Log: quiet()})
	if err != nil {
		b.Fatal(err)
	}
	defer q.Close()
	client := redis.NewClient(&redis.Options{Addr: server.Addr})
	defer client.Close()
	client.Set(b.Context(), "tamis:epoch", "x", 0)
	for n := range 1000 {
		client.SAdd(b.Context(), "tamis:shops", fmt.Sprintf("shop-%d", n))
	}
	for b.Loop() {
		if err := q.Sweep(b.Context()); err != nil {
			b.Fatal(err)
		}
	}
}
