package separate

// Rung is the best that so many screens can do, predicted: the recipe's own rung by its solved table, the others by an
// estimate on fewer colours: the inks are those that asking for that many screens gives, the figures nearly so.
//
// Ours: TestOtherRungsAreNearWhatTheyGive holds how near.
type Rung struct {
	Screens         int
	MeanE00, P95E00 float64 // CIEDE2000 to the artwork over the printed area
	InkIDs          []string
	Plates          []Plate // in press order, with their coverage
}

// menu is a ladder and what makes the recipe of one of its rungs.
type menu struct {
	rungs  []Rung
	recipe func(at int) *Recipe
}

// order makes the recipe of rung at, with the ladder as seen from there.
func (m *menu) order(at int) *Recipe {
	r := m.recipe(at)
	r.menu, r.Rung = m, at
	r.Rungs = agreeing(append([]Rung{}, m.rungs...), at, r)
	if asked := r.request.MaxE00; asked > 0 && r.MeanE00 > asked {
		r.sayMissed(asked)
	}
	return r
}

// At is the recipe of another rung of the ladder, made without searching inks again. It panics on a rung that is not
// there.
func (r *Recipe) At(rung int) *Recipe {
	if rung == r.Rung {
		return r
	}
	return r.menu.order(rung)
}

// within is the rung that the request asks for: among those with no more screens than it allows the first that meets
// its colour tolerance; with none named the last, or, where the caller named no number either, the knee.
//
// What is solved can be a little farther off than was estimated: the first rung that meets the tolerance then is one
// further up.
func (m *menu) within(req Request, knee func([]Rung) int) *Recipe {
	last := 0
	for last < len(m.rungs)-1 && m.rungs[last+1].Screens <= req.MaxScreens {
		last++
	}
	m.rungs = m.rungs[:last+1] // what the request does not allow is not offered
	if req.MaxE00 == 0 {
		if req.pick {
			last = knee(m.rungs[:last+1])
		}
		return m.order(last)
	}
	at := 0
	for at < last && m.rungs[at].MeanE00 > req.MaxE00 {
		at++
	}
	r := m.order(at)
	for at < last && r.MeanE00 > req.MaxE00 {
		at++
		r = m.order(at)
	}
	return r
}

// agreeing gives the recipe's own rung the recipe's figures, and holds the others to be no better below and no worse
// above it.
func agreeing(rungs []Rung, at int, r *Recipe) []Rung {
	for i := range rungs {
		switch {
		case i < at:
			rungs[i].MeanE00, rungs[i].P95E00 = max(rungs[i].MeanE00, r.MeanE00), max(rungs[i].P95E00, r.P95E00)
		case i == at:
			rungs[i] = Rung{len(r.Plates), r.MeanE00, r.P95E00, idsOf(r.Plates), r.Plates}
		default:
			rungs[i].MeanE00, rungs[i].P95E00 = min(rungs[i].MeanE00, r.MeanE00), min(rungs[i].P95E00, r.P95E00)
		}
	}
	return rungs
}

// idsOf names the plates' inks in press order.
func idsOf(plates []Plate) []string {
	list := make([]string, len(plates))
	for i, p := range plates {
		list[i] = p.Ink.ID
	}
	return list
}

// knee is the last rung that gains what a screen is worth.
func knee(rungs []Rung) int {
	at := len(rungs) - 1
	for at > 0 && rungs[at-1].MeanE00-rungs[at].MeanE00 < kneeE00 {
		at--
	}
	return at
}

// everyColor is the knee of flat art: the whole palette.
func everyColor(rungs []Rung) int { return len(rungs) - 1 }
