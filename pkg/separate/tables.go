package separate

import (
	"slices"
	"sync"

	"tamis/pkg/color"
	"tamis/pkg/ink"
)

// Tables keeps solved tables, the last used ones, for orders that print the same inks in the same order on the same
// garment. One serves a process; it is safe for concurrent use. A table depends on its key alone, so keeping one
// changes no result.
type Tables struct {
	most int

	mu   sync.Mutex // guards kept
	kept []keptTable
}

// NewTables keeps up to most tables, some 4 MB each.
func NewTables(most int) *Tables { return &Tables{most: most} }

type keptTable struct {
	key    tableKey
	lookup *lookup
}

// tableKey is everything a table is solved from.
type tableKey struct {
	method Method // index has tables of another kind; the others share theirs
	inks   int
	base   int
	layers [MaxScreens + 2]struct {
		overWhite, overBlack color.Lab
		cost                 float64
	}
	cards  ink.Cards
	ground color.Lab
	output [32]byte // of the ICC profile the table is taken from; zero for none
}

func keyOf(method Method, ly layers, req Request) tableKey {
	k := tableKey{method: method, inks: len(ly.inks), base: ly.base, cards: req.Cards, ground: req.Ground}
	for i, in := range ly.inks {
		k.layers[i].overWhite, k.layers[i].overBlack, k.layers[i].cost = in.OverWhite, in.OverBlack, ly.cost[i]
	}
	return k
}

// of gives the table of a key, kept or solved. A nil Tables solves.
func (t *Tables) of(key tableKey, solve func() *lookup) *lookup {
	if t == nil {
		return solve()
	}
	if l := t.find(key); l != nil {
		return l
	}
	l := solve() // two at once may solve the same: the tables are equal
	t.keep(keptTable{key, l})
	return l
}

// find looks a table up and makes it the one used last.
func (t *Tables) find(key tableKey) *lookup {
	t.mu.Lock()
	defer t.mu.Unlock()
	at := slices.IndexFunc(t.kept, func(k keptTable) bool { return k.key == key })
	if at < 0 {
		return nil
	}
	found := t.kept[at]
	t.kept = append(slices.Delete(t.kept, at, at+1), found)
	return found.lookup
}

func (t *Tables) keep(one keptTable) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.kept = append(t.kept, one)
	if extra := len(t.kept) - t.most; extra > 0 {
		t.kept = slices.Delete(t.kept, 0, extra)
	}
}
