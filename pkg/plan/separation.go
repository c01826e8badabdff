package plan

import (
	"math"

	"tamis/pkg/fault"
	"tamis/pkg/order"
	"tamis/pkg/separate"
)

// registerTrap is the share of the register error that a trap must cover: device and press errors seldom add up whole.
// Ours: their root of squares covers two of three prints; times 1.5 covers most.
const registerTrap = 1.5

// mostSpread is the most a choke or trap may be, as a share of the print's shorter side. Ours: more leaves nothing.
const mostSpread = 0.1

// separation chooses method, inks and plates from the inspection alone.
func (d *draft) separation() error {
	s := d.Input.Order.Separation
	trap := math.Min(0.5, registerTrap*math.Hypot(d.device.RegisterMM, d.press.RegisterMM))
	if s.TrapMM != nil {
		trap = *s.TrapMM
	}
	short := math.Min(d.Doc.Print.WidthMM, d.Doc.Print.HeightMM)
	check := &fault.Checker{}
	check.Between("/separation/choke_mm", *s.ChokeMM, 0, short*mostSpread, " mm on this print")
	check.Optional("/separation/trap_mm", s.TrapMM, 0, short*mostSpread, " mm on this print")
	if err := check.Err(); err != nil && (s.TrapMM != nil || *s.ChokeMM != order.DefaultChokeMM) {
		return err
	}
	request := separate.Request{Inks: d.inks, Cards: d.cards, Ground: d.ground, MaxScreens: s.MaxScreens,
		Underbase: separate.UnderbaseMode(s.Underbase), ChokeMM: math.Min(*s.ChokeMM, short*mostSpread),
		TrapMM:       math.Min(trap, short*mostSpread),
		PrintWidthMM: d.Doc.Print.WidthMM, PrintHeightMM: d.Doc.Print.HeightMM}
	if s.Method != "auto" {
		request.Method = separate.Method(s.Method)
	}
	if s.IndexDPI != nil {
		request.IndexDPI = *s.IndexDPI
	}
	recipe, err := separate.Choose(d.Input.Inspection, request)
	if err != nil {
		return err
	}
	d.Recipe = recipe
	d.Doc.Method, d.Doc.Screens = string(recipe.Method), len(recipe.Plates)
	d.Doc.Match = Match{Mean: hundredth(recipe.MeanE00), P95: hundredth(recipe.P95E00)}
	d.findings(recipe.Findings)
	for i, p := range recipe.Plates {
		d.Doc.Plates = append(d.Doc.Plates, Plate{N: i + 1, Ink: Ink{p.Ink.ID, p.Ink.Name, p.Ink.Hex},
			Role: string(p.Role), Rendering: string(p.Rendering), Coverage: fine(p.Coverage),
			Why: append([]string{}, p.Why...)})
	}
	return nil
}
