package plan

import (
	"fmt"
	"math"

	"tamis/pkg/artwork"
	"tamis/pkg/fault"
	"tamis/pkg/press"
	"tamis/pkg/separate"
)

// mostSpread is the most a choke or trap may be, as a share of the print's shorter side. Ours: more leaves nothing.
const mostSpread = 0.1

// spreads settles choke and trap. What the order asks for is refused where the print does not bear it; what Tamis picks
// gives way.
func (d *draft) spreads() (chokeMM, trapMM float64, err error) {
	s := d.Input.Order.Separation
	short := math.Min(d.Doc.Print.WidthMM, d.Doc.Print.HeightMM)
	most := math.Round(short*mostSpread*100) / 100
	check := &fault.Checker{}
	asked := func(field string, mm float64) {
		if mm > most {
			check.Addf(field, "too_wide_for_print", "%g mm; a print of %g x %g mm bears %g mm at most", mm,
				d.Doc.Print.WidthMM, d.Doc.Print.HeightMM, most)
		}
	}
	chokeMM = d.registerOf().ChokeMM()
	if s.ChokeMM != nil {
		chokeMM = *s.ChokeMM
		asked("/separation/choke_mm", chokeMM)
	}
	trapMM = d.registerOf().TrapMM()
	if s.TrapMM != nil {
		trapMM = *s.TrapMM
		asked("/separation/trap_mm", trapMM)
	}
	return math.Min(chokeMM, most), math.Min(trapMM, most), check.Err()
}

// separation chooses method, inks and plates from the inspection alone.
func (d *draft) separation() error {
	if d.recipe == nil {
		recipe, err := d.choose()
		if err != nil {
			return err
		}
		d.recipe = d.fitting(recipe)
	}
	d.takeRecipe()
	return nil
}

func (d *draft) choose() (*separate.Recipe, error) {
	choke, trap, err := d.spreads()
	if err != nil {
		return nil, err
	}
	s := d.Input.Order.Separation
	request := separate.Request{Inks: d.inks, Cards: d.cards, Ground: d.ground, MaxScreens: s.MaxScreens,
		Underbase: separate.UnderbaseMode(s.Underbase), ChokeMM: choke, TrapMM: trap,
		PrintWidthMM: d.Doc.Print.WidthMM, PrintHeightMM: d.Doc.Print.HeightMM, Output: d.Input.Output,
		Tables: d.Input.Tables}
	if s.Method != "auto" {
		request.Method = separate.Method(s.Method)
	}
	if s.IndexDPI != nil {
		request.IndexDPI = *s.IndexDPI
	}
	request.IndexDither = separate.IndexDither(s.IndexDither)
	if s.MaxDeltaE00 != nil {
		request.MaxE00 = *s.MaxDeltaE00
	}
	return separate.Choose(d.Input.Inspection, request)
}

// fitting is the recipe, or where it does not fit the press and the order names neither screens nor goal, the best on a
// lower rung that does, flashes included. None that fits: the recipe itself, printed in several runs.
func (d *draft) fitting(recipe *separate.Recipe) *separate.Recipe {
	s := d.Input.Order.Separation
	free := s.MaxScreens == 0 && s.MaxDeltaE00 == nil && s.MaxTotal == nil
	need := press.StationsNeeded(flashesOf(recipe.Plates))
	if !free || need <= d.press.Stations {
		return recipe
	}
	for at := recipe.Rung - 1; at >= 0; at-- {
		lower := recipe.At(at)
		if press.StationsNeeded(flashesOf(lower.Plates)) <= d.press.Stations {
			d.Doc.Warnings = append(d.Doc.Warnings, Warning{Code: "fitted_to_press", Severity: string(artwork.Info),
				Message: fmt.Sprintf("%d screens, not the %d that pay: those need %d stations with their flashes; %s has %d",
					len(lower.Plates), len(recipe.Plates), need, d.press.Name, d.press.Stations)})
			return lower
		}
	}
	return recipe
}

// takeRecipe writes the recipe into the plan's document.
func (d *draft) takeRecipe() {
	recipe := d.recipe
	d.Recipe = recipe
	d.Doc.Method, d.Doc.Screens = string(recipe.Method), len(recipe.Plates)
	d.Doc.Match = Match{Mean: hundredth(recipe.MeanE00), P95: hundredth(recipe.P95E00)}
	d.findings(recipe.Findings)
	for i, p := range recipe.Plates {
		d.Doc.Plates = append(d.Doc.Plates, Plate{N: i + 1, Ink: Ink{p.Ink.ID, p.Ink.Name, p.Ink.Hex},
			Role: string(p.Role), Rendering: string(p.Rendering), Coverage: fine(p.Coverage),
			Why: append([]string{}, p.Why...)})
		if p.Coverage < separate.EmptyPlate*(1-d.Input.Inspection.Digest.Transparent) {
			d.warn(i+1, "empty_plate", fmt.Sprintf("plate %d, %s as %s, prints next to nothing and costs a screen", i+1,
				p.Ink.Name, p.Role))
		}
	}
}
