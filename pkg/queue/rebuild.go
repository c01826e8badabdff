package queue

import (
	"context"
	"errors"
	"strconv"
	"time"

	"tamis/pkg/fault"
)

// runCreate writes a record, ended where e has a state. again tells that it is an old one, made once more from the
// documents: its end is then no news.
func (q *Queue) runCreate(ctx context.Context, shop, id string, h header, e end, again bool) ([]string, error) {
	member := Position{CreatedAt: h.CreatedAt, ID: id}.member()
	replay, refHash, old := q.cfg.Replay, "", "0"
	if again {
		replay, old = time.Until(h.CreatedAt.Add(replay)), "1" // what is left of it
	}
	if h.OrderRef != "" {
		refHash = digest(h.OrderRef)
	}
	args := []any{strconv.FormatInt(h.CreatedAt.UnixMicro(), 10), member, string(h.Lane), h.OrderRef, refHash,
		h.BatchID, e.Mark.Key, e.Mark.Fingerprint, ms(replay), old}
	return q.run(ctx, createLua, shop, id, append(args, string(e.State), e.Manifest, problemText(e.Problem),
		strconv.FormatInt(e.EndedAt.UnixMilli(), 10), strconv.Itoa(e.Attempts))...)
}

// rebuild makes a lost record again from the documents. A marker without a document is removed: its job was never
// made, or the key had made another one.
func (q *Queue) rebuild(ctx context.Context, shop, id string) error {
	doc, err := q.Doc(ctx, shop, id)
	if fault.Is(err, fault.NotFound) {
		return errors.Join(err, q.store.Delete(ctx, openKey(shop, id)))
	}
	if err != nil {
		return err
	}
	h, err := readHeader(doc)
	if err != nil {
		return err
	}
	e, over, err := q.readEnd(ctx, shop, id)
	if err != nil {
		return err
	}
	if over {
		_, err = q.runCreate(ctx, shop, id, h, e, true)
		return errors.Join(err, q.store.Delete(ctx, openKey(shop, id)))
	}
	if e.Mark, err = q.readMark(ctx, shop, id); err != nil {
		return err
	}
	if e.Attempts, err = q.readBegun(ctx, shop, id); err != nil {
		return err
	}
	answer, err := q.runCreate(ctx, shop, id, h, e, true)
	if err != nil {
		return err
	}
	if answer[0] == "reused" || answer[0] == "replayed" {
		q.dropDocuments(ctx, shop, id)
		return jobNotFound(id)
	}
	return q.stopAgain(ctx, shop, id)
}

// stopAgain cancels a job that was asked to stop before Redis forgot it.
func (q *Queue) stopAgain(ctx context.Context, shop, id string) error {
	_, err := q.store.Stat(ctx, stopKey(shop, id))
	if fault.Is(err, fault.NotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	_, err = q.run(ctx, cancelLua, shop, id)
	return err
}
