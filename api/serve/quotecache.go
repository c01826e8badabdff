package serve

import (
	"context"
	"sync"
	"time"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/plan"
)

// quoteCache keeps the latest plans, as documents, by what made them: a storefront asks for a quote, then orders just that. It knows
// too which quotes are stored already, and bounds how many plans are reckoned at once.
type quoteCache struct {
	mu     sync.Mutex // guards all but slots
	plans  map[library.WorkID][]*plan.Plan
	order  []library.WorkID
	stored map[storedQuote]bool
	oldest []storedQuote
	swept  map[library.ShopID]string // the day of the last sweep
	slots  chan struct{}
}

// storedQuote is a quote that the store holds.
type storedQuote struct {
	shop library.ShopID
	id   string
}

// storedKept bounds what is remembered of stored quotes: a hundred bytes each. One forgotten is only written again.
const storedKept = 8192

// plansKept bounds the cache: the documents of an order's plans and its quote have some 20 KB a print.
const plansKept = 64

// plansAtOnce is how many plans are reckoned side by side; more would only share the cores.
const plansAtOnce = 2

func newQuoteCache() *quoteCache {
	return &quoteCache{plans: map[library.WorkID][]*plan.Plan{}, slots: make(chan struct{}, plansAtOnce),
		stored: map[storedQuote]bool{}, swept: map[library.ShopID]string{}}
}

func (q *quoteCache) enter(ctx context.Context) error {
	select {
	case q.slots <- struct{}{}:
		return nil
	case <-ctx.Done():
		return fault.Wrap(ctx.Err(), fault.Canceled, "client_gone", "the caller went away")
	}
}

func (q *quoteCache) leave() { <-q.slots }

func (q *quoteCache) get(w library.WorkID) ([]*plan.Plan, bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	p, ok := q.plans[w]
	return p, ok
}

func (q *quoteCache) put(w library.WorkID, p []*plan.Plan) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if _, ok := q.plans[w]; ok {
		return
	}
	if len(q.order) == plansKept {
		delete(q.plans, q.order[0])
		q.order = q.order[1:]
	}
	q.plans[w] = p
	q.order = append(q.order, w)
}

// known tells whether a quote is stored.
func (q *quoteCache) known(shop library.ShopID, id string) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.stored[storedQuote{shop, id}]
}

// remember notes that a quote is stored, and tells whether this is the shop's first of the day.
func (q *quoteCache) remember(shop library.ShopID, id string, now time.Time) (first bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	one, day := storedQuote{shop, id}, now.UTC().Format(time.DateOnly)
	first = q.swept[shop] != day
	q.swept[shop] = day
	if q.stored[one] {
		return first
	}
	if len(q.oldest) == storedKept {
		delete(q.stored, q.oldest[0])
		q.oldest = q.oldest[1:]
	}
	q.stored[one] = true
	q.oldest = append(q.oldest, one)
	return first
}
