package plan

import (
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"tamis/pkg/artwork"
	"tamis/pkg/order"
	"tamis/pkg/price"
)

// Part is which print of its order a plan is of. SameAs is the print whose films and screens it is printed from, 0 for
// its own; Also are those printed from its own. Pieces is how many prints its screens make in all.
type Part struct {
	Order  order.Order // the whole order
	N      int         // from 1
	SameAs int
	Also   []int
	Pieces int
}

// Name tells the print from the others of its order, "print 2 of 3, back"; "" where the order has no list of prints.
func (p Part) Name() string {
	if p.Order.Prints == nil {
		return ""
	}
	return fmt.Sprintf("print %d of %d, %s", p.N, p.Order.Count(), p.Order.Prints[p.N-1].Print.Placement)
}

// shared finds which prints need no films of their own: the same artwork at the same size, asked for in the same way.
func shared(o order.Order, drafts []*draft) {
	first := map[string]*draft{}
	for i, d := range drafts {
		d.Part = Part{Order: o, N: i + 1, Pieces: d.Input.Order.Quantity}
		key := d.likeness()
		root, ok := first[key]
		if !ok {
			first[key] = d
			continue
		}
		d.Part.SameAs = root.Part.N
		root.Part.Also = append(root.Part.Also, d.Part.N)
		root.Part.Pieces += d.Part.Pieces
	}
}

// likeness is all that decides the print's films, so that two alike are made from one set.
func (d *draft) likeness() string {
	o := d.Input.Order
	o.Quantity, o.Print = 0, order.Print{WidthMM: d.Doc.Print.WidthMM, HeightMM: d.Doc.Print.HeightMM}
	return string(o.Canonical())
}

// lineLabel names a print on the lines of a quote: by its place, and by its number too where another has the same place.
func lineLabel(o order.Order, n int) string {
	if o.Prints == nil {
		return ""
	}
	place, same := o.Prints[n-1].Print.Placement, 0
	for _, e := range o.Prints {
		if e.Print.Placement == place {
			same++
		}
	}
	if same > 1 {
		return fmt.Sprintf("print %d, %s", n, place)
	}
	return place
}

// reused says what the quote leaves out since the order's screens are kept; total is what it comes to. Nobody but the
// caller knows that they are.
func reused(o order.Order, book price.Book, take price.Take, total decimal.Decimal) ([]Warning, error) {
	if !o.ReuseScreens {
		return nil, nil
	}
	take.Prints = slices.Clone(take.Prints)
	for i := range take.Prints {
		take.Prints[i].Kept = false
	}
	anew, err := book.Quote(take)
	if err != nil {
		return nil, err
	}
	less := anew.Total.Sub(total).StringFixed(price.MinorUnits(book.Currency))
	return []Warning{Warning{Code: "screens_reused", Severity: string(artwork.Info),
		Message: fmt.Sprintf("film, emulsion, coating and reclaim are left out, %s %s of the total: the caller answers for "+
			"the screens of an earlier run being kept, and fit for these films", less, book.Currency),
		Remedy: "order without reuse_screens if any of them is gone"}.completed()}, nil
}

// bare warns where the prints cannot be on every garment: a slip of the pen is likelier than garments sold bare.
func bare(o order.Order) []Warning {
	if o.Prints == nil {
		return nil
	}
	printed := 0
	for _, e := range o.Prints {
		printed += *e.Quantity
	}
	if printed >= o.Quantity {
		return nil
	}
	return []Warning{Warning{Code: "bare_garments", Remedy: "give the prints more pieces, or order fewer garments",
		Message: fmt.Sprintf("%d of the %d garments carry no print", o.Quantity-printed, o.Quantity)}.completed()}
}
