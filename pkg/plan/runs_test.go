package plan_test

import (
	"slices"
	"strings"
	"testing"

	"tamis/pkg/plan"
)

// runLines are the lines of the press: code, label and quantity.
func runLines(p *plan.Plan) (lines []string) {
	for _, l := range p.Quote.Lines {
		if strings.HasPrefix(l.Code, "press_") {
			lines = append(lines, l.Code+" "+l.Label)
		}
	}
	return lines
}

func TestScreensThatTheOrderLeavesOpenFitThePress(t *testing.T) {
	p := workedPlan(t, "lantern-night.png", `,"print":{"width_mm":280},"press":"manual-6"`)
	free := p.Doc.Press
	if free.StationsNeeded > free.Stations || free.Runs != nil || warned(p, "press_too_small") != nil {
		t.Errorf("%d screens: %+v", p.Doc.Screens, free)
	}
	if w := warned(p, "fitted_to_press"); w == nil || w.Severity != "info" || w.Remedy == "" {
		t.Errorf("fitted_to_press is %+v", w)
	}
	if len(runLines(p)) != 2 {
		t.Errorf("one run is billed as %v", runLines(p))
	}
	if top := p.Quote.Ladder[len(p.Quote.Ladder)-1]; top.Screens <= p.Doc.Screens {
		t.Errorf("the ladder ends at %d screens, %d are chosen", top.Screens, p.Doc.Screens)
	}
}

// TestScreensThatThePressDoesNotHoldAreBilledAsRuns has 6 screens and a flash or more on 6 stations, which the caller
// insists on.
func TestScreensThatThePressDoesNotHoldAreBilledAsRuns(t *testing.T) {
	p := workedPlan(t, "lantern-night.png",
		`,"print":{"width_mm":280},"press":"manual-6","separation":{"max_screens":6}`)
	sum := 0
	for _, n := range p.Doc.Press.Runs {
		sum += n
	}
	if len(p.Doc.Press.Runs) != 2 || sum != 6 {
		t.Fatalf("%d screens in runs of %v", p.Doc.Screens, p.Doc.Press.Runs)
	}
	want := []string{"press_setup Press: hang and register", "press_run Press: run",
		"press_setup Press: hang and register, run 2", "press_run Press: run, run 2"}
	if got := runLines(p); !slices.Equal(got, want) {
		t.Errorf("billed as %v", got)
	}
	if w := warned(p, "press_too_small"); w == nil || !strings.Contains(w.Message, "priced as 2 runs") {
		t.Errorf("press_too_small is %+v", w)
	}
	if top := p.Quote.Ladder[len(p.Quote.Ladder)-1]; top.Screens != 6 || top.Total != p.Quote.Total {
		t.Errorf("the ladder has %+v, the order costs %s", top, p.Quote.Total)
	}
}

// TestKeptScreensSayWhatTheyLeaveOut compares the amount with the same order on new screens.
func TestKeptScreensSayWhatTheyLeaveOut(t *testing.T) {
	insp := inspected(t, true)
	kept, anew := made(t, input(t, insp, "#17181a", `,"reuse_screens":true`)), made(t, input(t, insp, "#17181a", ""))
	less := money(t, anew.Quote.Total).Sub(money(t, kept.Quote.Total)).StringFixed(2) + " EUR"
	if w := kept.Quote.Warnings; len(w) != 1 || w[0].Code != "screens_reused" || w[0].Severity != "info" ||
		!strings.Contains(w[0].Message, less) {
		t.Errorf("want %s named, got %+v", less, w)
	}
	if w := anew.Quote.Warnings; len(w) != 0 {
		t.Errorf("new screens: %+v", w)
	}
}
