package plan

import "tamis/pkg/halftone"

// Screens makes the screens of the plates, nil for a line plate; plates of one specification share theirs. A quote has
// no need of them, and they take longer than all else in a plan whose separation is known.
func (p *Plan) Screens() ([]*halftone.Screen, error) {
	list, made := make([]*halftone.Screen, len(p.Specs)), map[halftone.Spec]*halftone.Screen{}
	for i, spec := range p.Specs {
		if spec == nil {
			continue
		}
		if made[*spec] == nil {
			screen, err := halftone.NewWithCurve(*spec, p.Gains[i].Inverse())
			if err != nil {
				return nil, err
			}
			made[*spec] = screen
		}
		list[i] = made[*spec]
	}
	return list, nil
}
