package library

import "sync"

// recent keeps the documents read last that never change, so that a storefront's next question need not read them
// again. It is safe for concurrent use.
type recent[K comparable, V any] struct {
	most int

	mu    sync.Mutex // guards the rest
	kept  map[K]V
	order []K
}

func newRecent[K comparable, V any](most int) *recent[K, V] {
	return &recent[K, V]{most: most, kept: map[K]V{}}
}

func (r *recent[K, V]) get(key K) (V, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	v, ok := r.kept[key]
	return v, ok
}

// put keeps a value; the one kept first goes when there are too many.
func (r *recent[K, V]) put(key K, v V) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if _, ok := r.kept[key]; ok {
		return
	}
	if len(r.order) == r.most {
		delete(r.kept, r.order[0])
		r.order = r.order[1:]
	}
	r.kept[key] = v
	r.order = append(r.order, key)
}
