package serve

import (
	"context"
	"sync"
	"time"

	lru "github.com/hashicorp/golang-lru/v2"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/plan"
)

// quoteCache keeps the latest plans by what made them: a storefront asks for a quote, then orders just that, or asks what
// another quantity costs. It knows too which quotes are stored already, and bounds how many plans are reckoned at once.
type quoteCache struct {
	plans  *lru.Cache[library.WorkID, []*plan.Plan] // documents alone, read only
	drawn  *lru.Cache[library.WorkID, *plan.Drawn]
	stored *lru.Cache[storedQuote, struct{}]
	slots  chan struct{}

	mu    sync.Mutex                // guards swept
	swept map[library.ShopID]string // the day of the last sweep
}

// storedQuote is a quote that the store holds.
type storedQuote struct {
	shop library.ShopID
	id   string
}

const (
	// plansKept: the documents of an order's plans and its quote have some 20 KB a print.
	plansKept = 64
	// drawnKept: an unpriced plan holds its separation, most of it shared with the tables that are kept anyway.
	drawnKept = 16
	// storedKept: a hundred bytes each. One forgotten is only written again.
	storedKept = 8192
	// plansAtOnce is how many plans are reckoned side by side; more would only share the cores.
	plansAtOnce = 2
)

func newQuoteCache() *quoteCache {
	return &quoteCache{plans: library.Kept[library.WorkID, []*plan.Plan](plansKept),
		drawn:  library.Kept[library.WorkID, *plan.Drawn](drawnKept),
		stored: library.Kept[storedQuote, struct{}](storedKept),
		slots:  make(chan struct{}, plansAtOnce), swept: map[library.ShopID]string{}}
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

// known tells whether a quote is stored.
func (q *quoteCache) known(shop library.ShopID, id string) bool {
	_, ok := q.stored.Get(storedQuote{shop, id})
	return ok
}

// remember notes that a quote is stored, and tells whether this is the shop's first of the day.
func (q *quoteCache) remember(shop library.ShopID, id string, now time.Time) (first bool) {
	q.stored.Add(storedQuote{shop, id}, struct{}{})
	q.mu.Lock()
	defer q.mu.Unlock()
	day := now.UTC().Format(time.DateOnly)
	first = q.swept[shop] != day
	q.swept[shop] = day
	return first
}
