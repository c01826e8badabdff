package queue_test

import (
	"fmt"
	"sync"
	"testing"
	"time"

	"tamis/pkg/fault"
	"tamis/pkg/queue"
)

// keyed is the nth job under a key.
func keyed(n int, key, fingerprint string) queue.NewJob {
	j := job(n)
	j.Idempotency = &queue.Idempotency{Key: key, Fingerprint: fingerprint}
	return j
}

func TestAHundredDuplicatesMakeOneJob(t *testing.T) {
	b := newBench(t)
	var mu sync.Mutex
	ids, fresh := map[string]int{}, 0
	var group sync.WaitGroup
	for n := range 100 {
		group.Go(func() {
			made, err := b.Create(t.Context(), keyed(n, "POST /v1/jobs 8e03978e", "body"))
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				t.Error(err)
			}
			ids[made.ID]++
			if !made.Replayed {
				fresh++
			}
		})
	}
	group.Wait()
	if len(ids) != 1 || fresh != 1 {
		t.Fatalf("%d jobs, %d of them said to be new", len(ids), fresh)
	}
	all := pages(t, b, queue.Filter{}, 10, func(int) {})
	if len(all) != 1 || ids[all[0]] != 100 {
		t.Fatalf("listed %v, answered %v", all, ids)
	}
	for _, prefix := range []string{"shops/linden/jobs/", "shops/linden/open/"} {
		if left, err := b.store.List(t.Context(), prefix, "", 200); err != nil || len(left) != 1 {
			t.Fatalf("%d documents under %s, %v", len(left), prefix, err)
		}
	}
}

func TestAKeyWithAnotherRequestIsRefused(t *testing.T) {
	b := newBench(t)
	b.create(t, keyed(1, "key", "72 pieces"))
	_, err := b.Create(t.Context(), keyed(2, "key", "36 pieces"))
	wantCode(t, err, fault.Invalid, "idempotency_key_reused")
	if b.exists(t, "shops/linden/jobs/job_0002/job.json") {
		t.Fatal("the refused job has a document")
	}
	other := keyed(3, "key", "36 pieces")
	other.Shop = "another" // keys are a shop's own
	if made, err := b.Create(t.Context(), other); err != nil || made.Replayed {
		t.Fatalf("the same key in another shop: %+v, %v", made, err)
	}
}

func TestAReplayAnswersAfterTheEndAndAfterRedisWasEmptied(t *testing.T) {
	b := newBench(t)
	id := b.create(t, keyedNow("key", "body"))
	again := keyedNow("key", "body")
	again.ID = "job_again"
	if err := b.Commit(t.Context(), b.claim(t, id), done); err != nil {
		t.Fatal(err)
	}
	for _, when := range []string{"after the end", "after Redis was emptied"} {
		made, err := b.Create(t.Context(), again)
		if err != nil || !made.Replayed || made.ID != id {
			t.Fatalf("%s: %+v, %v", when, made, err)
		}
		b.redis.FlushAll(t.Context())
		b.recover(t)
	}
}

// keyedNow is a job made now, so that its key is still good after a rebuild.
func keyedNow(key, fingerprint string) queue.NewJob {
	j := keyed(1, key, fingerprint)
	j.Doc = fmt.Appendf(nil, `{"created_at":%q}`, time.Now().UTC().Format(time.RFC3339Nano))
	return j
}

func TestAKeyExpires(t *testing.T) {
	b := newBench(t, func(c *queue.Config) { c.Replay = 50 * time.Millisecond })
	b.create(t, keyed(1, "key", "body"))
	eventually(t, "the key was free again", func() bool {
		made, err := b.Create(t.Context(), keyed(2, "key", "body"))
		return err == nil && made.ID == "job_0002"
	})
}

func TestADocumentWhoseKeyMadeAnotherJobIsNotRevived(t *testing.T) {
	b := newBench(t)
	first := b.create(t, keyed(1, "key", "body"))
	// A Create that died between its documents and its script, whose caller tried again as job_0001.
	orphan := keyed(2, "key", "body")
	mark := b.redis.HMGet(t.Context(), "tamis:{linden}:job:"+first, "idem", "fingerprint").Val()
	put(t, b, "shops/linden/jobs/job_0002/job.json", orphan.Doc)
	put(t, b, "shops/linden/open/job_0002", fmt.Appendf(nil, `{"key":%q,"fingerprint":%q}`, mark[0], mark[1]))
	b.recover(t)
	if _, err := b.Get(t.Context(), shop, "job_0002"); !fault.Is(err, fault.NotFound) {
		t.Fatalf("the orphan is a job: %v", err)
	}
	if b.exists(t, "shops/linden/open/job_0002") {
		t.Fatal("the orphan's marker still stands")
	}
}

func put(t *testing.T, b *bench, key string, data []byte) {
	t.Helper()
	if err := b.store.Put(t.Context(), key, data, "application/json"); err != nil {
		t.Fatal(err)
	}
}

// recover sweeps until the index of ended jobs is whole.
func (b *bench) recover(t *testing.T) {
	t.Helper()
	eventually(t, "Redis was filled again", func() bool {
		b.sweep(t)
		return b.redis.Exists(t.Context(), "tamis:epoch").Val() == 1
	})
}
