package plan_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"tamis/pkg/fault"
	"tamis/pkg/plan"
	"tamis/pkg/separate"
)

func money(t *testing.T, s string) decimal.Decimal {
	t.Helper()
	d, err := decimal.NewFromString(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestAPriceAsksForTheBestPrintThatCostsNoMore(t *testing.T) {
	insp := inspected(t, false)
	tables := separate.NewTables(16)
	with := func(extra string) plan.Input {
		in := input(t, insp, "#17181a", fmt.Sprintf(`,"separation":{"max_screens":6%s}`, extra))
		in.Tables = tables
		return in
	}
	ladder := made(t, with("")).Quote.Ladder
	if len(ladder) < 4 {
		t.Fatalf("%d rungs", len(ladder))
	}
	for i, rung := range ladder[1:] {
		most := money(t, rung.Total).Add(money(t, "3"))
		p := made(t, with(fmt.Sprintf(`,"max_total":"%s"`, most)))
		if money(t, p.Quote.Total).GreaterThan(most) {
			t.Errorf("%s asked, %d screens cost %s", most, p.Doc.Screens, p.Quote.Total)
		}
		if p.Doc.Screens < ladder[i].Screens {
			t.Errorf("%s asked: %d screens, where %d were estimated at %s", most, p.Doc.Screens, rung.Screens, rung.Total)
		}
	}
	_, err := plan.New(with(`,"max_total":"1.00"`))
	if f := fault.Of(err); f.Field != "/separation/max_total" || !strings.Contains(f.Msg, ladder[0].Total) {
		t.Errorf("1.00 asked: %v, the least is %s", err, ladder[0].Total)
	}
}

func TestATolerancePicksAShorterLadder(t *testing.T) {
	insp := inspected(t, false)
	all := made(t, input(t, insp, "#17181a", `,"separation":{"max_screens":6}`))
	loose := made(t, input(t, insp, "#17181a", fmt.Sprintf(`,"separation":{"max_screens":6,"max_delta_e00":%g}`,
		all.Quote.Ladder[2].Mean+0.5)))
	if loose.Doc.Screens >= all.Doc.Screens || loose.Doc.Match.Mean > all.Quote.Ladder[2].Mean+0.5 {
		t.Errorf("%d screens, mean %.2f; the full ladder has %v", loose.Doc.Screens, loose.Doc.Match.Mean, all.Quote.Ladder)
	}
}

func TestInksMixedForTheArtworkMatchItBetter(t *testing.T) {
	insp := inspected(t, true)
	own := made(t, input(t, insp, "#17181a", ""))
	free := made(t, input(t, insp, "#17181a", `,"separation":{"free_inks":true}`))
	if free.Doc.Match.Mean >= own.Doc.Match.Mean || free.Doc.Match.Mean > 1 {
		t.Errorf("mean %.2f with mixed inks, %.2f with the shop's", free.Doc.Match.Mean, own.Doc.Match.Mean)
	}
	mixed := false
	for _, p := range free.Doc.Plates {
		mixed = mixed || separate.IsMixed(p.Ink.ID)
		if p.InkGrams <= 0 {
			t.Errorf("%s weighs %g g", p.Ink.Name, p.InkGrams)
		}
	}
	for _, l := range free.Quote.Lines {
		if strings.HasPrefix(l.Label, "Mix ") && money(t, l.UnitPrice).Sign() <= 0 {
			t.Errorf("%s is free", l.Label)
		}
	}
	if !mixed {
		t.Errorf("no mixed ink: %v", free.Doc.Plates)
	}
}

// The rung that is printed costs what the plan does, the others about what they cost when they are printed.
func TestRungsArePricedAsPlansAre(t *testing.T) {
	insp := inspected(t, false)
	tables := separate.NewTables(16)
	top := made(t, input(t, insp, "#17181a", `,"separation":{"max_screens":6}`)).Quote.Ladder
	for _, rung := range top {
		in := input(t, insp, "#17181a", fmt.Sprintf(`,"separation":{"max_screens":%d}`, rung.Screens))
		in.Tables = tables
		own := money(t, made(t, in).Quote.Total)
		if off := own.Sub(money(t, rung.Total)).Div(own).Abs(); off.GreaterThan(money(t, "0.01")) {
			t.Errorf("%d screens: %s in the ladder, %s when ordered", rung.Screens, rung.Total, own)
		}
	}
}

func TestMixedDotsAndClustersReachTheScreens(t *testing.T) {
	insp := inspected(t, false)
	mix := made(t, input(t, insp, "#ffffff", `,"halftone":{"kind":"am","dot":"mix","mix":[{"dot":"round","at":0.1},{"dot":"square","at":0.5}]}`))
	fm := made(t, input(t, insp, "#ffffff", `,"halftone":{"kind":"fm","cluster_um":200}`))
	for _, s := range mix.Specs {
		if s != nil && s.Mix == "" {
			t.Errorf("no mix in %+v", s)
		}
	}
	for _, s := range fm.Specs {
		if s != nil && s.ClusterUM != 200 {
			t.Errorf("no clusters in %+v", s)
		}
	}
	screens, err := mix.Screens()
	if err != nil || len(screens) != mix.Doc.Screens {
		t.Errorf("%d screens, %v", len(screens), err)
	}
}
