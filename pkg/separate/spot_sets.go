package separate

import (
	"math"

	"tamis/pkg/fault"
)

// set is which candidate inks may print, and whether the underbase does.
type set struct {
	inks []bool
	base bool
}

// best is how swatch i prints with a set: the least error, where ink must earn its place.
func (s *spotJob) best(i int, in set) (how layup, err float64) {
	row, lost, n := s.errs[i], s.lost[i], len(s.inks)+1
	how, err = layup{ink: -1}, row[0]
	least := err + lost[0]
	if s.noBare {
		least = math.Inf(1)
	}
	consider := func(h layup, k int, cost float64) {
		if all := row[k] + lost[k] + cost; all < least {
			how, err, least = h, row[k], all
		}
	}
	for k, on := range in.inks {
		if on {
			consider(layup{k, false}, k+1, costPrinted)
		}
	}
	if !in.base {
		return how, err
	}
	consider(layup{-1, true}, n, costPrinted)
	for k, on := range in.inks {
		if on {
			consider(layup{k, true}, n+k+1, costPrinted+costOnBase)
		}
	}
	return how, err
}

// lostBy is what swatch i loses of its colour when it prints so.
func (s *spotJob) lostBy(i int, how layup) float64 {
	k := how.ink + 1
	if how.base {
		k += len(s.inks) + 1
	}
	return s.lost[i][k]
}

// cost is the mean error of the palette, as seen, under a set, and which inks and whether the base are used at all.
func (s *spotJob) cost(in set) (mean float64, used set) {
	used.inks = make([]bool, len(s.inks))
	for i, w := range s.swatches {
		how, err := s.best(i, in)
		mean += float64(w.share * seen(err+s.lostBy(i, how)))
		used.base = used.base || how.base
		if how.ink >= 0 {
			used.inks[how.ink] = true
		}
	}
	return mean, used
}

// start is every ink that is some swatch's best, with an underbase where it pays.
//
// Art all of the garment's own colour would print nothing. With one ink to choose from the caller's wish is plain: the
// shape in that ink; with more it is a fault.
func (s *spotJob) start() (set, error) {
	used := s.usedBest()
	if s.screens(used) > 0 {
		return used, nil
	}
	if len(s.inks) != 1 {
		return set{}, fault.Invalidf("/garment/color", "artwork_is_garment_color",
			"no colour of the artwork is far enough from the garment's %s to be worth an ink (%.1f CIEDE2000 at most): "+
				"nothing would print; name the one ink to print it in, or another garment",
			s.req.groundRGB().Hex(), s.farthest(used))
	}
	s.noBare = true
	return s.usedBest(), nil
}

// farthest is how far the worst colour is off when the artwork is printed with a set.
func (s *spotJob) farthest(in set) (worst float64) {
	for i := range s.swatches {
		_, err := s.best(i, in)
		worst = max(worst, err)
	}
	return worst
}

// usedBest is the better of all inks with and without the underbase, less what is not used.
func (s *spotJob) usedBest() set {
	all := set{inks: make([]bool, len(s.inks))}
	for k := range all.inks {
		all.inks[k] = true
	}
	plain, used := s.cost(all)
	if s.white == nil || !s.req.mayUnderbase() {
		return used
	}
	all.base = true
	based, usedBased := s.cost(all)
	if s.req.Underbase == UnderbaseOn || plain-based > kneeE00 {
		usedBased.base = true
		return usedBased
	}
	return used
}

func (s *spotJob) screens(in set) int {
	n := 0
	for _, on := range in.inks {
		if on {
			n++
		}
	}
	if in.base {
		n++
	}
	return n
}

// descend drops one screen after another, each time the one that is missed least: a ladder from the top down, in
// which a shorter set is never better.
func (s *spotJob) descend(now set) []set {
	now = s.withoutIdleHighlight(now)
	list := []set{now}
	for s.screens(now) > 1 {
		var next set
		least := 0.0
		for k := range now.inks {
			if now.inks[k] {
				s.keepBetter(s.without(now, k), &next, &least)
			}
		}
		if now.base && s.req.Underbase != UnderbaseOn {
			s.keepBetter(set{inks: now.inks}, &next, &least)
		}
		if next.inks == nil {
			break
		}
		now = next
		list = append(list, now)
	}
	return list
}

func (s *spotJob) keepBetter(trial set, best *set, least *float64) {
	mean, used := s.cost(trial)
	used.base = used.base || trial.base && s.req.Underbase == UnderbaseOn
	if s.screens(used) > 0 && (best.inks == nil || mean < *least) {
		*best, *least = used, mean
	}
}

func (s *spotJob) without(in set, k int) set {
	out := set{inks: append([]bool{}, in.inks...), base: in.base}
	out.inks[k] = false
	return out
}

// withoutIdleHighlight drops white printed over its own underbase where that gains less than a screen is worth.
func (s *spotJob) withoutIdleHighlight(in set) set {
	if !in.base {
		return in
	}
	mean, _ := s.cost(in)
	for k := range in.inks {
		if in.inks[k] && s.inks[k].IsWhite() {
			if less, used := s.cost(s.without(in, k)); less-mean < kneeE00 {
				used.base = true
				return used
			}
		}
	}
	return in
}
