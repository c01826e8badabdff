package separate

import (
	"fmt"

	lru "github.com/hashicorp/golang-lru/v2"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/ink"
)

// Tables keeps what was solved, the last used first: tables, for orders that print the same inks in the same order on
// the same garment, and whole recipes, for those that print the same artwork so. One serves a process; it is safe for
// concurrent use. What is kept depends on its key alone, so keeping it changes no result.
type Tables struct {
	tables  *lru.Cache[tableKey, *lookup]
	recipes *lru.Cache[recipeKey, *Recipe]
}

// NewTables keeps up to most tables, 2 to 4 MB each, and as many recipes, of which each may hold one more. most is at
// least 1.
func NewTables(most int) *Tables {
	tables, err := lru.New[tableKey, *lookup](most)
	if err != nil {
		panic(err)
	}
	recipes, err := lru.New[recipeKey, *Recipe](most)
	if err != nil {
		panic(err)
	}
	return &Tables{tables, recipes}
}

// kept gives the value of a key, kept or made. Two at once may make the same: the values are equal.
func kept[K comparable, V any](in *lru.Cache[K, V], key K, make func() (V, error)) (V, error) {
	if v, ok := in.Get(key); ok {
		return v, nil
	}
	v, err := make()
	if err == nil {
		in.Add(key, v)
	}
	return v, err
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
	l, _ := kept(t.tables, key, func() (*lookup, error) { return solve(), nil })
	return l
}

// recipeKey is everything a recipe is chosen from: the artwork by its key, the request as text.
type recipeKey struct{ artwork, request string }

// recipe gives the recipe of a request, kept or chosen. Artwork without a key, and a nil Tables, choose.
func (t *Tables) recipe(insp *artwork.Inspection, req Request, choose func() (*Recipe, error)) (*Recipe, error) {
	if t == nil || insp.Key == "" {
		return choose()
	}
	plain := req
	plain.Tables, plain.Output = nil, nil
	text := fmt.Sprintf("%#v", plain)
	if req.Output != nil {
		text += fmt.Sprintf("%x", req.Output.Sum())
	}
	return kept(t.recipes, recipeKey{insp.Key, text}, choose)
}
