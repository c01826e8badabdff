package artwork

import (
	"cmp"
	"context"
	"slices"
	"sync"
)

// Mark is one crossing of a thin line by a row or column of pixels, or a speck: its middle and its thickness there.
type Mark struct {
	Kind    LineKind
	X, Y    int
	WidthPX float64
	Speck   bool
}

// Marks gives every crossing of lines and specks thinner than mostPX, 31 at most, from the top; of soft art none. kind
// and colors are the inspection's. The
// same picture gives the same marks on any number of cores.
func (m *Image) Marks(ctx context.Context, kind Kind, colors []ColorShare, mostPX float64) ([]Mark, error) {
	if kind == Continuous {
		return nil, nil
	}
	var mu sync.Mutex // guards all
	var all []Mark
	err := scanLines(ctx, m, viewOf(kind, colors), func() (take func(mark), done func()) {
		var mine []Mark
		take = func(k mark) {
			if w := float64(k.width16) / 16; w < mostPX {
				mine = append(mine, Mark{k.kind, k.x, k.y, w, k.speck})
			}
		}
		return take, func() {
			mu.Lock()
			defer mu.Unlock()
			all = append(all, mine...)
		}
	})
	slices.SortFunc(all, func(a, b Mark) int {
		return cmp.Or(a.Y-b.Y, a.X-b.X, int(a.Kind-b.Kind), cmp.Compare(a.WidthPX, b.WidthPX))
	})
	return all, err
}
