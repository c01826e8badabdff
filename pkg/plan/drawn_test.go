package plan_test

import (
	"encoding/json"
	"testing"

	"golang.org/x/sync/errgroup"

	"tamis/pkg/plan"
)

// documents is what callers see of plans, as bytes.
func documents(t *testing.T, plans []*plan.Plan) string {
	t.Helper()
	var all []any
	for _, p := range plans {
		all = append(all, p.Doc, p.Quote, p.Part)
	}
	data, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// TestADrawnOrderIsPricedAsOneDrawnForItself prices one drawing for orders that differ in whatever only prices know, and
// compares each with the plan made from the start.
func TestADrawnOrderIsPricedAsOneDrawnForItself(t *testing.T) {
	soft := inspected(t, false)
	first := input(t, soft, "#17181a", "")
	drawn, err := plan.Draw(first.Order, []plan.Input{first})
	if err != nil {
		t.Fatal(err)
	}
	for _, extra := range []string{``, `"quantity":1`, `"quantity":5000,"lane":"rush"`, `"reuse_screens":true,"order_ref":"x"`,
		`"garment":{"color":"#17181a","name":"shirt","unit_cost":"0"},"proof":{"from":"films"}`} {
		in := first
		if err := json.Unmarshal([]byte("{"+extra+"}"), &in.Order); err != nil {
			t.Fatal(err)
		}
		if string(in.Order.Drawing().Canonical()) != string(first.Order.Drawing().Canonical()) {
			t.Errorf("%s: another drawing", extra)
		}
		priced, err := drawn.Priced(in.Order)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := documents(t, priced), documents(t, []*plan.Plan{made(t, in)}); got != want {
			t.Errorf("%s:\n%s\n%s", extra, got, want)
		}
	}
	other := input(t, soft, "#17181a", `,"halftone":{"lpi":40}`)
	if string(other.Order.Drawing().Canonical()) == string(first.Order.Drawing().Canonical()) {
		t.Error("another ruling is the same drawing")
	}
}

// TestOneDrawingIsPricedForManyAtOnce prices side by side what a finding's remedy and a list of prints are written into:
// each must read as if it were alone.
func TestOneDrawingIsPricedForManyAtOnce(t *testing.T) {
	o, ins := inputs(t, onFront+","+onLeft+","+onRight, 72)
	drawn, err := plan.Draw(o, ins)
	if err != nil {
		t.Fatal(err)
	}
	alone := all(t, onFront+","+onLeft+","+onRight, 72)
	group := errgroup.Group{}
	for range 8 {
		group.Go(func() error {
			plans, err := drawn.Priced(o)
			if err == nil && documents(t, plans) != documents(t, alone) {
				t.Error("priced beside others the plans differ")
			}
			return err
		})
	}
	if err := group.Wait(); err != nil {
		t.Fatal(err)
	}
}
