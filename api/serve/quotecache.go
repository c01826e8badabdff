package serve

import (
	"context"
	"sync"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/plan"
)

// quoteCache keeps the latest plans by what made them: a storefront asks for a quote, then orders just that. It bounds
// too how many plans are reckoned at once.
type quoteCache struct {
	mu    sync.Mutex // guards plans and order
	plans map[library.WorkID]*plan.Plan
	order []library.WorkID
	slots chan struct{}
}

// plansKept bounds the cache: a plan with its separation table has up to some megabytes.
const plansKept = 32

// plansAtOnce is how many plans are reckoned side by side; more would only share the cores.
const plansAtOnce = 2

func newQuoteCache() *quoteCache {
	return &quoteCache{plans: map[library.WorkID]*plan.Plan{}, slots: make(chan struct{}, plansAtOnce)}
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

func (q *quoteCache) get(w library.WorkID) (*plan.Plan, bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	p, ok := q.plans[w]
	return p, ok
}

func (q *quoteCache) put(w library.WorkID, p *plan.Plan) {
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
