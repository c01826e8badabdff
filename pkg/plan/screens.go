package plan

import (
	"tamis/pkg/cores"
	"tamis/pkg/halftone"
)

// Screens makes the screens of the plates, nil for a line plate; plates of one specification share theirs, and those of
// several are made side by side. A quote has no need of them.
func (p *Plan) Screens() ([]*halftone.Screen, error) {
	first := map[halftone.Spec]int{} // the plate a specification's screen is made for
	var plates []int
	for i, spec := range p.Specs {
		if spec == nil {
			continue
		}
		if _, known := first[*spec]; !known {
			first[*spec] = i
			plates = append(plates, i)
		}
	}
	list := make([]*halftone.Screen, len(p.Specs))
	err := cores.TryRanges(len(plates), func(from, to int) (err error) {
		for _, i := range plates[from:to] {
			if list[i], err = halftone.NewWithCurve(*p.Specs[i], p.Gains[i].Inverse()); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for i, spec := range p.Specs {
		if spec != nil {
			list[i] = list[first[*spec]]
		}
	}
	return list, nil
}
