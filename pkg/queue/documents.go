package queue

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"tamis/pkg/fault"
	"tamis/pkg/store"
)

// maxDocBytes bounds a job's document when it is read back. An order with its snapshot has some 100 kB.
const maxDocBytes = 16 << 20

const jsonType = "application/json"

// header is what the queue reads of a job's document, to rebuild a record from it.
type header struct {
	CreatedAt time.Time `json:"created_at"`
	Lane      Lane      `json:"lane"`
	OrderRef  string    `json:"order_ref"`
	BatchID   string    `json:"batch_id"`
}

// mark is the content of an open marker: what else a record needs that the document does not say.
type mark struct {
	Key         string `json:"key,omitempty"` // digest of the idempotency key
	Fingerprint string `json:"fingerprint,omitempty"`
}

// begun is the content of begun.json. It outlives Redis, so that a job that takes its process down each time, an embedded
// Redis with it, is poison after as many attempts as any other.
type begun struct {
	Attempts int `json:"attempts"`
}

// end is the content of end.json; without a State it is what else is known of an open job.
type end struct {
	State    State     `json:"state"`
	EndedAt  time.Time `json:"ended_at"`
	Attempts int       `json:"attempts"`
	Manifest string    `json:"manifest,omitempty"`
	Problem  *Problem  `json:"problem,omitempty"`
	Mark     mark      `json:"idempotency,omitzero"`
}

// readHeader takes the queue's part of a document. What it cannot use is our own bug: the caller made the document.
func readHeader(doc []byte) (header, error) {
	var h header
	if err := json.Unmarshal(doc, &h); err != nil {
		return h, fault.Wrap(err, fault.Internal, "job_document", "the job's document cannot be read")
	}
	h.CreatedAt = h.CreatedAt.UTC().Truncate(time.Microsecond)
	setZero(&h.Lane, Normal)
	if h.CreatedAt.UnixMicro() <= 0 || (h.Lane != Rush && h.Lane != Normal && h.Lane != Bulk) ||
		h.BatchID != "" && !validName(h.BatchID) {
		return h, fault.Newf(fault.Internal, "", "job_document",
			"the job's document needs created_at, a lane of rush, normal or bulk, and a batch_id of a-z 0-9 _ - if any")
	}
	return h, nil
}

// Doc reads a job's document: the bytes Create was given.
func (q *Queue) Doc(ctx context.Context, shop, id string) ([]byte, error) {
	if !validName(shop) || !validName(id) {
		return nil, jobNotFound(id)
	}
	doc, _, err := store.ReadAll(ctx, q.store, jobKey(shop, id), maxDocBytes)
	if fault.Is(err, fault.NotFound) {
		return nil, jobNotFound(id)
	}
	return doc, err
}

// putDoc stores a document once; created is false when the same bytes are there.
func (q *Queue) putDoc(ctx context.Context, key string, doc []byte) error {
	_, err := q.store.PutOnce(ctx, key, bytes.NewReader(doc), int64(len(doc)), sha256.Sum256(doc), jsonType)
	return err
}

// putBegun notes how many attempts have begun. Of two that write at once the later may leave one too few: the job is
// tried once more.
func (q *Queue) putBegun(ctx context.Context, shop, id string, attempts int) error {
	doc, err := json.Marshal(begun{attempts})
	if err != nil {
		return fmt.Errorf("job %s: %w", id, err)
	}
	return q.store.Put(ctx, begunKey(shop, id), doc, jsonType)
}

// readBegun gives how many attempts have begun; a missing or unreadable document says none.
func (q *Queue) readBegun(ctx context.Context, shop, id string) (attempts int, err error) {
	doc, _, err := store.ReadAll(ctx, q.store, begunKey(shop, id), maxDocBytes)
	if err != nil && !fault.Is(err, fault.NotFound) {
		return 0, err
	}
	var b begun
	_ = json.Unmarshal(doc, &b)
	return max(0, b.Attempts), nil
}

// putEnd writes the end of a job and removes its open marker. The first end that was written stands.
func (q *Queue) putEnd(ctx context.Context, shop, id string, e end) error {
	doc, err := json.Marshal(e)
	if err != nil {
		return fmt.Errorf("job %s: %w", id, err)
	}
	if err := q.putDoc(ctx, endKey(shop, id), doc); err != nil && !fault.Is(err, fault.Conflict) {
		return err
	}
	return errors.Join(q.store.Delete(ctx, begunKey(shop, id)), q.store.Delete(ctx, openKey(shop, id)))
}

// readEnd gives the end of a job, or false while it has none.
func (q *Queue) readEnd(ctx context.Context, shop, id string) (end, bool, error) {
	var e end
	doc, _, err := store.ReadAll(ctx, q.store, endKey(shop, id), maxDocBytes)
	if fault.Is(err, fault.NotFound) {
		return e, false, nil
	}
	if err != nil {
		return e, false, err
	}
	if err := json.Unmarshal(doc, &e); err != nil || !e.State.Ended() {
		return e, false, fault.Wrap(err, fault.Internal, "job_document", "the end of a job cannot be read")
	}
	return e, true, nil
}

// readMark gives the content of an open marker; a missing or unreadable one is an empty mark.
func (q *Queue) readMark(ctx context.Context, shop, id string) (mark, error) {
	var m mark
	doc, _, err := store.ReadAll(ctx, q.store, openKey(shop, id), maxDocBytes)
	if err != nil && !fault.Is(err, fault.NotFound) {
		return m, err
	}
	_ = json.Unmarshal(doc, &m)
	return m, nil
}

// writeEnd takes a job's end from Redis to the documents and drops the row that asked for it.
func (q *Queue) writeEnd(ctx context.Context, shop, id string) error {
	h, err := q.redis.HGetAll(ctx, q.recordKey(shop, id)).Result()
	if err != nil {
		return redisFault(err)
	}
	r := recordOf(shop, id, h)
	if r.State.Ended() {
		e := end{State: r.State, EndedAt: r.EndedAt, Attempts: r.Attempts, Manifest: r.Manifest, Problem: r.Problem,
			Mark: mark{Key: h["idem"], Fingerprint: h["fingerprint"]}}
		if err := q.putEnd(ctx, shop, id, e); err != nil {
			return err
		}
	}
	_, err = q.run(ctx, ringLua, shop, id, "written", "0")
	return err
}
