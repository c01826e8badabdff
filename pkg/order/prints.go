package order

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"tamis/pkg/fault"
	"tamis/pkg/shop"
)

// Entry is one print of an order of several. Quantity is how many of the order's garments carry it; nil: all of them.
// That is how the sizes of a design are told that need films of their own: 40 adults and 32 youths of 72. A section
// given stands in the whole place of the order's own; one left out is the order's own.
type Entry struct {
	ArtworkID  string      `json:"artwork_id"`
	Print      Print       `json:"print"`
	Quantity   *int        `json:"quantity,omitempty"`
	Separation *Separation `json:"separation,omitempty"`
	Halftone   *Halftone   `json:"halftone,omitempty"`
	Mesh       *Mesh       `json:"mesh,omitempty"`
	Film       *Film       `json:"film,omitempty"`
}

// MaxPrints bounds the prints of an order. Ours: front, back, two sleeves and a nape, in two sizes at most.
const MaxPrints = 8

// Count is the number of prints: 1 of an order without a list of them.
func (o Order) Count() int { return max(1, len(o.Prints)) }

// One is the n-th print, from 1, as an order of that print alone: of as many pieces as carry it. An order without a list
// is its own first.
func (o Order) One(n int) Order {
	if o.Prints == nil {
		return o
	}
	e := o.Prints[n-1]
	o.Prints, o.ArtworkID, o.Print = nil, e.ArtworkID, e.Print
	if e.Quantity != nil {
		o.Quantity = *e.Quantity
	}
	o.Separation = given(e.Separation, o.Separation)
	o.Halftone = given(e.Halftone, o.Halftone)
	o.Mesh = given(e.Mesh, o.Mesh)
	o.Film = given(e.Film, o.Film)
	return o
}

// Drawing is the order without what only its price, its papers and its proof depend on. Two orders of the same drawing
// have the same plates, and their films differ in the words on them alone.
func (o Order) Drawing() Order {
	o.Quantity, o.Garment.Name, o.Garment.UnitCost = 0, "", shop.Amount{}
	o.OrderRef, o.OrderDate, o.Lane, o.ReuseScreens, o.Proof = "", "", "", false, Proof{}
	o.Prints = slices.Clone(o.Prints)
	for i := range o.Prints {
		o.Prints[i].Quantity = nil
	}
	return o
}

func given[T any](own *T, otherwise T) T {
	if own != nil {
		return *own
	}
	return otherwise
}

// filledPrints are the entries with their defaults. A section that says what the order's own says is left out: both
// mean the same, and the same has one canonical form.
func (o Order) filledPrints() []Entry {
	entries := slices.Clone(o.Prints)
	for i := range entries {
		e := &entries[i]
		def(&e.Print.Placement, defaultPlacement)
		if e.Quantity == nil {
			e.Quantity = &o.Quantity
		}
		e.Separation = section(e.Separation, (*Separation).fill, o.Separation)
		e.Halftone = section(e.Halftone, (*Halftone).fill, o.Halftone)
		e.Mesh = section(e.Mesh, func(*Mesh) {}, o.Mesh)
		e.Film = section(e.Film, (*Film).fill, o.Film)
	}
	return entries
}

// section is an entry's own section with its defaults, nil where it says what the order's does.
func section[T any](own *T, fill func(*T), orders T) *T {
	if own == nil {
		return nil
	}
	filled := *own
	fill(&filled)
	if bytes.Equal(canonical(filled), canonical(orders)) {
		return nil
	}
	return &filled
}

// checkPrints names everything that cannot be in the list of prints, and what cannot stand beside it.
func (o Order) checkPrints(c *fault.Checker) {
	const beside = "an order names one print here or several in prints, not both"
	if o.ArtworkID != "" {
		c.Addf("/artwork_id", "one_or_several", beside)
	}
	if o.Print != (Print{}) {
		c.Addf("/print", "one_or_several", beside)
	}
	if o.ArtworkID != "" || o.Print != (Print{}) {
		c.Addf("/prints", "one_or_several", beside)
	}
	if n := len(o.Prints); n < 1 || n > MaxPrints {
		c.Addf("/prints", "prints", "%d prints; 1 to %d can be", n, MaxPrints)
		return
	}
	if o.Separation.MaxTotal != nil {
		o.checkMaxTotal(c, "/separation/max_total")
	}
	for i := range o.Prints {
		part := &fault.Checker{}
		o.checkEntry(part, i)
		if err := part.Err(); err != nil {
			c.Add(o.Located(i+1, err))
		}
	}
}

// checkEntry names the faults of one entry, as of the order of that print alone.
func (o Order) checkEntry(c *fault.Checker, i int) {
	e, one := o.Prints[i], o.One(i+1)
	one.checkPrint(c)
	if q := *e.Quantity; q != o.Quantity && (q < 1 || q > o.Quantity) { // the order's own is checked there
		c.Addf("/quantity", "quantity", "%d pieces; 1 to %d, the order's, can carry this print", q, o.Quantity)
	}
	if e.Separation != nil {
		one.checkSeparation(c)
		if e.Separation.MaxTotal != nil {
			o.checkMaxTotal(c, "/separation/max_total")
		}
	}
	if e.Halftone != nil {
		one.checkHalftone(c)
	}
	if e.Mesh != nil {
		one.checkMesh(c)
	}
	if e.Film != nil {
		one.checkFilm(c)
	}
}

// checkMaxTotal refuses a limit on the total of several prints: which of them should give way is not ours to say.
func (o Order) checkMaxTotal(c *fault.Checker, field string) {
	if len(o.Prints) > 1 {
		c.Addf(field, "not_here", "a limit on the total is for orders of one print; of %d, name max_screens or "+
			"max_delta_e00 for the one that shall give way", len(o.Prints))
	}
}

// Located moves what is at fault in One(n) to where it stands in the order itself. Faults of other kinds than a value
// that cannot be are left as they are.
func (o Order) Located(n int, err error) error {
	if o.Prints == nil || err == nil || !fault.Is(err, fault.Invalid) {
		return err
	}
	var moved fault.List
	for _, f := range fault.All(err) {
		one := *f
		if o.Prints[n-1].own(f.Field) {
			one.Field = fmt.Sprintf("/prints/%d%s", n-1, f.Field)
		}
		moved = append(moved, &one)
	}
	return moved.Err()
}

// own tells whether a field of the order of one print is the entry's.
func (e Entry) own(field string) bool {
	name, _, _ := strings.Cut(strings.TrimPrefix(field, "/"), "/")
	switch name {
	case "artwork_id", "print", "quantity":
		return true
	case "separation":
		return e.Separation != nil
	case "halftone":
		return e.Halftone != nil
	case "mesh":
		return e.Mesh != nil
	case "film":
		return e.Film != nil
	}
	return false
}
