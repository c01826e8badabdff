package separate

import (
	"tamis/pkg/fault"
	"tamis/pkg/ink"
)

// costProcessBlack is below costInk: black takes over the grey that three colours would make, which saves ink and
// keeps neutrals neutral when the register or a dot gain drifts (black generation).
const costProcessBlack = 0.5

// process separates into the process inks, all of them, with an underbase where the garment needs one.
func (j *job) process() (*Recipe, error) {
	var set []ink.Ink
	for _, in := range j.req.Inks {
		if in.Kind == ink.Process {
			set = append(set, in)
		}
	}
	if j.req.Output != nil {
		return j.profiled(set)
	}
	if len(set) < 3 {
		return nil, fault.Invalidf(
			"/separation/inks",
			"process_inks_missing",
			"process needs cyan, magenta and yellow inks of kind process, and black; there are %d of that kind",
			len(set),
		)
	}
	white := whiteInk(j.req.Inks)
	plain := arrange(set, nil, nil)
	chosen := plain
	if white != nil && j.req.mayUnderbase() {
		based := arrange(set, white, nil)
		if j.req.Underbase == UnderbaseOn || j.pays(plain, based) {
			chosen = based
		}
	}
	if len(chosen.inks) > j.req.MaxScreens {
		return nil, fault.Invalidf("/separation/max_screens", "max_screens_range",
			"process takes %d screens here; max_screens is %d", len(chosen.inks), j.req.MaxScreens)
	}
	for i, role := range chosen.roles {
		if role == Black {
			chosen.cost[i] = costProcessBlack
		}
	}
	m := &menu{[]Rung{{Screens: len(chosen.inks), InkIDs: chosen.ids()}}, func(int) *Recipe {
		return j.fromTable(Process, chosen)
	}}
	return m.within(j.req, everyColor), nil
}

// pays tells whether layers b beat layers a by more than a screen is worth.
func (j *job) pays(a, b layers) bool {
	return j.meanError(a)-j.meanError(b) > kneeE00
}

// meanError solves the condensed targets for some layers.
func (j *job) meanError(ly layers) float64 {
	stack := ly.stack(j.req)
	s := newSolver(stack, ly.cost, ly.base)
	list := condensed(j.targets, searchColors)
	errs := make([]float64, len(list))
	cov, darkestL := make([]float64, stack.Len()), darkest(stack)
	for i, t := range list {
		a := newAim(t.lab, darkestL)
		s.solve(&a, cov, false)
		errs[i] = errorOf(stack, cov, t.lab)
	}
	mean, _ := match(list, errs)
	return mean
}
