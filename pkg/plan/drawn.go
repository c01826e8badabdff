package plan

import (
	"slices"

	"tamis/pkg/fault"
	"tamis/pkg/order"
	"tamis/pkg/separate"
)

// Drawn is the plans of an order's prints but for the prices: all that takes time. It serves every order of the same
// drawing (order.Drawing), so that another quantity is only priced. Safe for concurrent use.
type Drawn struct{ drafts []*draft }

// All makes the plans of an order's prints, in the order's order, each with the quote of the whole: ins[i] is made from
// o.One(i+1). Every fault of every print is named, where it stands in o. Deterministic; safe for concurrent use.
func All(o order.Order, ins []Input) ([]*Plan, error) {
	drawn, err := Draw(o, ins)
	if err != nil {
		return nil, err
	}
	return drawn.Priced(o)
}

// Draw is All without the prices.
func Draw(o order.Order, ins []Input) (*Drawn, error) { return draw(o, ins, nil) }

// draw makes the plans with a recipe, or each with the one that its order asks for.
func draw(o order.Order, ins []Input, recipe *separate.Recipe) (*Drawn, error) {
	w := &Drawn{}
	var faults fault.List
	for i, in := range ins {
		d := newDraft(in, recipe)
		w.drafts = append(w.drafts, d)
		if err := d.run(); err != nil {
			addOnce(&faults, o.Located(i+1, err))
		}
	}
	return w, faults.Err()
}

// addOnce adds faults but those that another print has named in the same place: a section that is the order's own.
func addOnce(faults *fault.List, err error) {
	for _, f := range fault.All(err) {
		if !slices.ContainsFunc(*faults, func(g *fault.Error) bool { return g.Field == f.Field && g.Code == f.Code }) {
			faults.Add(f)
		}
	}
}

// Priced is the plans with the quote of an order of this drawing.
func (w *Drawn) Priced(o order.Order) ([]*Plan, error) {
	plans, err := w.priced(o)
	if err != nil || len(plans) > 1 {
		return plans, err
	}
	most := plans[0].Input.Order.Separation.MaxTotal
	if most == nil {
		return plans, nil
	}
	p, err := plans[0].within(o, most.Decimal)
	return []*Plan{p}, o.Located(1, err)
}

// priced prices copies: what was drawn is not written to.
func (w *Drawn) priced(o order.Order) ([]*Plan, error) {
	drafts := make([]*draft, len(w.drafts))
	plans := make([]*Plan, len(w.drafts))
	for i, d := range w.drafts {
		own, plan := *d, *d.Plan
		plan.Input.Order = o.One(i + 1)
		own.Plan = &plan
		drafts[i], plans[i] = &own, &plan
	}
	shared(o, drafts)
	if err := priced(o, drafts); err != nil {
		return nil, err
	}
	for _, d := range drafts {
		d.nearDuplicatesPriced()
	}
	return plans, nil
}
