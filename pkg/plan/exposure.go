package plan

import (
	"fmt"
	"strings"
)

// exposure says what the plates' exposures assume.
func (d *draft) exposure() {
	p := d.Input.Shop.Profile
	unit := p.Unit()
	doc := Exposure{TargetStep: unit.TargetStep, FilmDmin: unit.RefDmin}
	says := []string{fmt.Sprintf("%.4g s on white mesh and %.4g s on dyed harden to wedge step %g through clear film of density %g",
		unit.ExposureS, unit.ExposureS*unit.YellowFactor, unit.TargetStep, unit.RefDmin)}
	if e, ok := p.Emulsion(); ok {
		doc.Emulsion, doc.SolidsPct, doc.Coats = e.Name, e.SolidsPct, e.Coats
		says = append(says, fmt.Sprintf("%s of %g %% solids, coats: %d", e.Name, e.SolidsPct, e.Coats), e.Assumes)
	}
	if l, ok := p.Lamp(); ok {
		doc.Lamp, doc.DistanceMM = l.Name, l.DistanceMM
		says = append(says, fmt.Sprintf("%s at %g mm, tested at %g mm", l.Name, l.DistanceMM, l.TestedMM), l.Assumes)
	}
	if len(says) == 1 {
		says = append(says, "by the shop's own test, emulsion and lamp not named")
	}
	var kept []string
	for _, s := range says {
		if s != "" {
			kept = append(kept, s)
		}
	}
	doc.Assumes = strings.Join(kept, "; ")
	d.Doc.Exposure = doc
}
