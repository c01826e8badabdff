package queue

import (
	"context"
	"strings"

	"github.com/redis/go-redis/v9"

	"tamis/pkg/fault"
)

// Get gives a job's record; where Redis has lost it, as it follows from the documents. fault.NotFound if the shop
// has no such job.
func (q *Queue) Get(ctx context.Context, shop, id string) (Record, error) {
	if !validName(shop) || !validName(id) {
		return Record{}, jobNotFound(id)
	}
	h, err := q.redis.HGetAll(ctx, q.recordKey(shop, id)).Result()
	if err != nil {
		return Record{}, redisFault(err)
	}
	if len(h) > 0 {
		return recordOf(shop, id, h), nil
	}
	return q.fromDocuments(ctx, shop, id)
}

// fromDocuments gives the record that the documents tell of. A job without an end is queued: whoever had it will
// find its claim lost.
func (q *Queue) fromDocuments(ctx context.Context, shop, id string) (Record, error) {
	doc, err := q.Doc(ctx, shop, id)
	if err != nil {
		return Record{}, err
	}
	h, err := readHeader(doc)
	if err != nil {
		return Record{}, err
	}
	r := Record{Shop: shop, ID: id, State: Queued, Lane: h.Lane, OrderRef: h.OrderRef, BatchID: h.BatchID,
		CreatedAt: h.CreatedAt}
	e, over, err := q.readEnd(ctx, shop, id)
	if err != nil || !over {
		return r, err
	}
	r.State, r.EndedAt, r.Attempts, r.Manifest, r.Problem = e.State, e.EndedAt, e.Attempts, e.Manifest, e.Problem
	return r, nil
}

// Filter narrows a listing; empty fields do not.
type Filter struct {
	State    State
	OrderRef string
	BatchID  string
}

// listStep is how many index entries are read at once.
const listStep = 200

// List gives up to limit jobs of a shop, newest first, that stand after the position (zero = from the newest).
// more tells that others may follow the last. New jobs come before every position, so pages neither repeat nor skip.
func (q *Queue) List(ctx context.Context, shop string, f Filter, after Position, limit int) (page []Record, more bool,
	err error) {
	if !validName(shop) {
		return nil, false, nil
	}
	from := "+"
	if after.ID != "" {
		from = "(" + after.member()
	}
	for {
		members, err := q.redis.ZRevRangeByLex(ctx, q.base(shop)+f.index(), &redis.ZRangeBy{Max: from, Min: "-",
			Count: listStep}).Result()
		if err != nil {
			return nil, false, redisFault(err)
		}
		records, err := q.records(ctx, shop, members)
		if err != nil {
			return nil, false, err
		}
		for _, r := range records {
			if !f.matches(r) {
				continue
			}
			if len(page) == limit {
				return page, true, nil
			}
			page = append(page, r)
		}
		if len(members) < listStep {
			return page, false, nil
		}
		from = "(" + members[len(members)-1]
	}
}

// index names the narrowest sorted index that holds all jobs of the filter.
func (f Filter) index() string {
	switch {
	case f.BatchID != "":
		return "jobs:batch:" + f.BatchID
	case f.OrderRef != "":
		return "jobs:ref:" + digest(f.OrderRef)
	case f.State != "":
		return "jobs:state:" + string(f.State)
	}
	return "jobs"
}

func (f Filter) matches(r Record) bool {
	return (f.State == "" || f.State == r.State) && (f.OrderRef == "" || f.OrderRef == r.OrderRef) &&
		(f.BatchID == "" || f.BatchID == r.BatchID)
}

// records reads the jobs of index entries in one round trip; one that Redis let go comes from the documents, and one
// that has none either is left out.
func (q *Queue) records(ctx context.Context, shop string, members []string) ([]Record, error) {
	pipe := q.redis.Pipeline()
	answers := make([]*redis.MapStringStringCmd, len(members))
	for i, m := range members {
		answers[i] = pipe.HGetAll(ctx, q.recordKey(shop, m[memberCut:]))
	}
	if _, err := pipe.Exec(ctx); err != nil && len(members) > 0 {
		return nil, redisFault(err)
	}
	records := make([]Record, 0, len(members))
	for i, m := range members {
		id := m[memberCut:]
		if h := answers[i].Val(); len(h) > 0 {
			records = append(records, recordOf(shop, id, h))
			continue
		}
		r, err := q.fromDocuments(ctx, shop, id)
		if fault.Is(err, fault.NotFound) {
			continue
		}
		if err != nil {
			return nil, err
		}
		records = append(records, r)
	}
	return records, nil
}

// shopOf gives the shop of a key under "shops/".
func shopOf(key string) string {
	shop, _, _ := strings.Cut(strings.TrimPrefix(key, "shops/"), "/")
	return shop
}
