package plan_test

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"tamis/pkg/artwork"
	"tamis/pkg/fault"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/shop"
)

// inputs are the plans' inputs of an order of several prints; art_soft is a gradient, any other artwork is flat.
func inputs(t testing.TB, entries string, quantity int) (order.Order, []plan.Input) {
	t.Helper()
	o, err := order.Parse(fmt.Appendf(nil, `{"prints":[%s],"garment":{"color":"#17181a","unit_cost":"3.10"},"quantity":%d}`,
		entries, quantity))
	if err != nil {
		t.Fatal(err)
	}
	if o, err = o.Complete(); err != nil {
		t.Fatal(err)
	}
	looks := map[bool]*artwork.Inspection{true: inspected(t, true), false: inspected(t, false)}
	var ins []plan.Input
	for n := 1; n <= o.Count(); n++ {
		one := o.One(n)
		ins = append(ins, plan.Input{Inspection: looks[one.ArtworkID != "art_soft"], Order: one, Shop: shop.Default(),
			Tables: solved})
	}
	return o, ins
}

func all(t testing.TB, entries string, quantity int) []*plan.Plan {
	t.Helper()
	o, ins := inputs(t, entries, quantity)
	plans, err := plan.All(o, ins)
	if err != nil {
		t.Fatal(err)
	}
	return plans
}

const (
	onFront = `{"artwork_id":"art_1","print":{"width_mm":150}}`
	onBack  = `{"artwork_id":"art_1","print":{"width_mm":120,"placement":"back"},"separation":{"max_screens":2}}`
	onLeft  = `{"artwork_id":"art_1","print":{"width_mm":60,"placement":"left sleeve"},"quantity":40}`
	onRight = `{"artwork_id":"art_1","print":{"height_mm":72,"placement":"right sleeve"}}`
)

func TestAListOfOnePrintCostsWhatThePrintDoes(t *testing.T) {
	for _, quantity := range []int{1, 12, 72, 500} {
		plain := input(t, inspected(t, true), "#17181a", "")
		plain.Order.Quantity = quantity
		alone, listed := made(t, plain), all(t, onFront, quantity)[0]
		a, b := alone.Quote, listed.Quote
		if a.Total != b.Total || a.PerPiece != b.PerPiece || !reflect.DeepEqual(a.Breaks, b.Breaks) ||
			!reflect.DeepEqual(a.Ladder, b.Ladder) || len(a.Lines) != len(b.Lines) {
			t.Errorf("%d pieces: alone %s, in a list %s\n%v\n%v", quantity, a.Total, b.Total, a, b)
		}
		if a.Prints != nil || a.Lines[2].Print != 0 || len(b.Prints) != 1 || b.Lines[2].Print != 1 {
			t.Errorf("%d pieces: prints %v and %v", quantity, a.Prints, b.Prints)
		}
	}
}

// TestAPrintMoreNeverMakesAnOrderCheaper adds print after print and reads every line.
func TestAPrintMoreNeverMakesAnOrderCheaper(t *testing.T) {
	last := decimal.Zero
	entries := []string{onFront, onBack, onLeft, onRight}
	for n := range entries {
		plans := all(t, strings.Join(entries[:n+1], ","), 72)
		q := plans[0].Quote
		sum := decimal.Zero
		for _, l := range q.Lines {
			amount := money(t, l.Amount)
			if sum = sum.Add(amount); amount.IsNegative() {
				t.Errorf("%+v is below nothing", l)
			}
		}
		total := money(t, q.Total)
		if !sum.Equal(total) || !total.GreaterThan(last) || len(plans) != n+1 {
			t.Errorf("%d prints: lines %s, total %s, with one less %s", n+1, sum, total, last)
		}
		last = total
		for i := 1; i < len(q.Breaks); i++ {
			if money(t, q.Breaks[i].PerPiece).GreaterThan(money(t, q.Breaks[i-1].PerPiece)) {
				t.Errorf("%d prints: breaks %v", n+1, q.Breaks)
			}
		}
		if one := q.Breaks[len(q.Breaks)-1]; one.Quantity == 72 && one.Total != q.Total {
			t.Errorf("%d prints: 72 pieces cost %s as a break, %s as ordered", n+1, one.Total, q.Total)
		}
	}
}

// TestTheSamePrintTwiceNeedsItsFilmsAndScreensOnce orders both sleeves, one told by its width and one by its height.
func TestTheSamePrintTwiceNeedsItsFilmsAndScreensOnce(t *testing.T) {
	plans := all(t, onFront+","+onLeft+","+onRight, 72)
	left, right := plans[1], plans[2]
	if right.Part.SameAs != 2 || left.Part.SameAs != 0 || !reflect.DeepEqual(left.Part.Also, []int{3}) ||
		left.Part.Pieces != 40+72 || plans[0].Part.Pieces != 72 {
		t.Fatalf("%+v\n%+v", left.Part, right.Part)
	}
	one, _ := json.Marshal(left.Doc)
	other, _ := json.Marshal(right.Doc)
	if string(one) != string(other) {
		t.Error("the sleeves' plans differ")
	}
	codes := map[int]string{}
	for _, l := range right.Quote.Lines {
		codes[l.Print] += l.Code + " "
		if want := map[int]string{1: "(front)", 2: "(left sleeve)", 3: "(right sleeve)"}[l.Print]; !strings.HasSuffix(l.Label, want) {
			t.Errorf("line %q of print %d", l.Label, l.Print)
		}
	}
	if strings.Contains(codes[3], "film") || strings.Contains(codes[3], "screens") || strings.Contains(codes[3], "press_setup") ||
		!strings.Contains(codes[3], "ink") || !strings.Contains(codes[2], "film") {
		t.Errorf("lines %v", codes)
	}
	q := right.Quote.Prints[2]
	if q.N != 3 || q.SameAs != 2 || q.Quantity != 72 || q.Placement != "right sleeve" || q.Ladder != nil {
		t.Errorf("%+v", q)
	}
}

// TestTheLadderOfAPrintPricesTheWholeOrder finds every print's own rung at the order's total.
func TestTheLadderOfAPrintPricesTheWholeOrder(t *testing.T) {
	plans := all(t, `{"artwork_id":"art_soft","print":{"width_mm":150}},`+onBack, 72)
	for i, p := range plans {
		found := false
		for _, r := range p.Quote.Prints[i].Ladder {
			found = found || r.Screens == p.Doc.Screens && r.Total == p.Quote.Total
		}
		if !found || len(p.Quote.Prints[i].Ladder) < 2 {
			t.Errorf("print %d of %d screens, %s: ladder %v", i+1, p.Doc.Screens, p.Quote.Total, p.Quote.Prints[i].Ladder)
		}
	}
	if !reflect.DeepEqual(plans[1].Quote, plans[0].Quote) || plans[0].Doc.Screens == plans[1].Doc.Screens {
		t.Error("the prints have not one quote, or not a plan each")
	}
}

func TestEveryFaultOfAPlanIsNamedAtItsPrint(t *testing.T) {
	o, ins := inputs(t, onFront+`,{"artwork_id":"art_1","print":{"width_mm":120},"separation":{"inks":["none"]}},
		{"artwork_id":"art_1","print":{"width_mm":2000},"mesh":{"threads_per_cm":61.5}}`, 10)
	_, err := plan.All(o, ins)
	fields := map[string]bool{}
	for _, f := range fault.All(err) {
		fields[f.Field] = true
	}
	if !fields["/prints/1/separation/inks/0"] || !fields["/prints/2/mesh/threads_per_cm"] || len(fields) != 2 {
		t.Errorf("%v", err)
	}
}

func TestGarmentsThatCarryNoPrintAreSaid(t *testing.T) {
	if w := all(t, onLeft, 72)[0].Quote.Warnings; len(w) != 1 || w[0].Code != "bare_garments" || w[0].Remedy == "" {
		t.Errorf("%v", w)
	}
	if w := all(t, onLeft, 40)[0].Quote.Warnings; w != nil {
		t.Errorf("%v", w)
	}
}
