package separate

import (
	"slices"
	"sync"
)

// recent keeps the values used last. It is safe for concurrent use.
type recent[K comparable, V any] struct {
	most int

	mu   sync.Mutex // guards kept
	kept []keyed[K, V]
}

type keyed[K comparable, V any] struct {
	key   K
	value V
}

// of gives the value of a key, kept or made. Two at once may make the same: the values are equal.
func (r *recent[K, V]) of(key K, make func() (V, error)) (V, error) {
	if v, ok := r.find(key); ok {
		return v, nil
	}
	v, err := make()
	if err == nil {
		r.keep(key, v)
	}
	return v, err
}

// find looks a value up and makes it the one used last.
func (r *recent[K, V]) find(key K) (v V, ok bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	at := slices.IndexFunc(r.kept, func(k keyed[K, V]) bool { return k.key == key })
	if at < 0 {
		return v, false
	}
	found := r.kept[at]
	r.kept = append(slices.Delete(r.kept, at, at+1), found)
	return found.value, true
}

func (r *recent[K, V]) keep(key K, v V) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.kept = append(r.kept, keyed[K, V]{key, v})
	if extra := len(r.kept) - r.most; extra > 0 {
		r.kept = slices.Delete(r.kept, 0, extra)
	}
}
