package queue

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"tamis/pkg/fault"
)

// Idempotency ties a creation to a caller's key. Key is route and key in one, within the shop; Fingerprint is a hash
// of the request without blanks: the same key with another fingerprint is refused.
type Idempotency struct {
	Key, Fingerprint string
}

// NewJob is a job to be. Doc is a JSON object that holds at least created_at (RFC 3339), and lane, order_ref and
// batch_id where they are not empty: a record is rebuilt from it when Redis has lost it, so Lane, OrderRef and
// BatchID must say the same. Shop and ID are [a-z0-9_-], at most 80 bytes, ID unused.
type NewJob struct {
	Shop, ID    string
	Lane        Lane // "" = normal
	OrderRef    string
	BatchID     string
	Doc         []byte
	Idempotency *Idempotency
	Done        *Outcome // the job ends as it is made: its films are stored already
}

// Created is the job that stands after Create: the new one, or the first with the same idempotency key.
type Created struct {
	ID       string
	Replayed bool
}

// Create writes a job's documents, then its record with index, idempotency entry and outbox row in one script, then
// rings. When it returns, the job is safe; a bell that did not ring is the sweeper's. A key used before with another
// fingerprint is fault.Invalid idempotency_key_reused.
func (q *Queue) Create(ctx context.Context, n NewJob) (Created, error) {
	h, err := n.check()
	if err != nil {
		return Created{}, err
	}
	m := n.mark()
	if made, known, err := q.replay(ctx, n.Shop, m); known || err != nil {
		return made, err
	}
	if err := q.redis.SAdd(ctx, q.shopsKey(), n.Shop).Err(); err != nil {
		return Created{}, redisFault(err)
	}
	e := n.end(h, m)
	if err := q.putNew(ctx, n, e); err != nil {
		return Created{}, err
	}
	answer, err := q.runCreate(ctx, n.Shop, n.ID, h, e, false)
	if err != nil {
		return Created{}, err // the sweeper makes the record from the documents, or a retry with the key does
	}
	if answer[0] == "reused" || answer[0] == "replayed" {
		q.dropDocuments(ctx, n.Shop, n.ID)
		return replayed(answer)
	}
	if e.State != "" {
		err = q.writeEnd(ctx, n.Shop, n.ID)
	} else {
		err = q.ringNow(ctx, n.Shop, n.ID, h.Lane, 0)
	}
	if err != nil {
		q.log.Warn("queue: left to the sweeper", "shop", n.Shop, "job", n.ID, "error", err)
	}
	return Created{ID: n.ID}, nil
}

// check compares the job with its document.
func (n NewJob) check() (header, error) {
	if !validName(n.Shop) || !validName(n.ID) {
		return header{}, fault.Newf(fault.Internal, "", "job_name", "shop %.80q or job %.80q is no id", n.Shop, n.ID)
	}
	h, err := readHeader(n.Doc)
	if err != nil {
		return h, err
	}
	setZero(&n.Lane, Normal)
	if h.Lane != n.Lane || h.OrderRef != n.OrderRef || h.BatchID != n.BatchID {
		return h, fault.Newf(fault.Internal, "", "job_document",
			"job %s and its document differ in lane, order or batch", n.ID)
	}
	if n.Done != nil && !n.Done.State.Ended() {
		return h, fault.Newf(fault.Internal, "", "job_outcome", "job %s: %q is no end", n.ID, n.Done.State)
	}
	return h, nil
}

func (n NewJob) mark() mark {
	if n.Idempotency == nil {
		return mark{}
	}
	return mark{Key: digest(n.Idempotency.Key), Fingerprint: digest(n.Idempotency.Fingerprint)}
}

// end gives the end of a job that is done as it is made, at the time it was made; of another its mark alone.
func (n NewJob) end(h header, m mark) end {
	if n.Done == nil {
		return end{Mark: m}
	}
	return end{State: n.Done.State, EndedAt: h.CreatedAt.Truncate(time.Millisecond), Manifest: n.Done.Manifest,
		Problem: n.Done.Problem, Mark: m}
}

// replay looks for the job a key has made, so that a repeated request writes nothing.
func (q *Queue) replay(ctx context.Context, shop string, m mark) (Created, bool, error) {
	if m.Key == "" {
		return Created{}, false, nil
	}
	have, err := q.redis.Get(ctx, q.base(shop)+"idem:"+m.Key).Result()
	if errors.Is(err, redisNil) {
		return Created{}, false, nil
	}
	if err != nil {
		return Created{}, false, redisFault(err)
	}
	var fingerprint, id string
	if n, _ := fmt.Sscan(have, &fingerprint, &id); n != 2 {
		return Created{}, false, nil
	}
	word := "replayed"
	if fingerprint != m.Fingerprint {
		word = "reused"
	}
	made, err := replayed([]string{word, id})
	return made, true, err
}

func replayed(answer []string) (Created, error) {
	if answer[0] == "reused" {
		return Created{}, fault.Invalidf("", "idempotency_key_reused",
			"this Idempotency-Key was sent with another request; use a new key for a new order")
	}
	return Created{ID: answer[1], Replayed: true}, nil
}

// putNew writes what must stand before the record: the document, then the marker of an open job or the end of one
// that is done already. A marker without a document is thus a leftover, and a document with neither was promised to
// nobody.
func (q *Queue) putNew(ctx context.Context, n NewJob, e end) error {
	if err := q.putDoc(ctx, jobKey(n.Shop, n.ID), n.Doc); err != nil {
		return err
	}
	if e.State != "" {
		return q.putEnd(ctx, n.Shop, n.ID, e)
	}
	text, err := json.Marshal(e.Mark)
	if err != nil {
		return fmt.Errorf("job %s: %w", n.ID, err)
	}
	return q.store.Put(ctx, openKey(n.Shop, n.ID), text, jsonType)
}

// dropDocuments removes what was written for a job whose key had made another one meanwhile.
func (q *Queue) dropDocuments(ctx context.Context, shop, id string) {
	for _, key := range []string{openKey(shop, id), begunKey(shop, id), jobKey(shop, id), endKey(shop, id)} {
		if err := q.store.Delete(ctx, key); err != nil {
			q.log.Warn("queue: a document was left behind", "shop", shop, "job", id, "error", err)
		}
	}
}
