package fabric

import (
	"fmt"
	"sort"
)

// Ask is what a whole mesh pick starts from. Orders is the halftone's, nil for line work and for screens without a grid;
// Allowed bounds the search of ruling and angle; DistanceMM is how near the print is looked at.
type Ask struct {
	Need       Need
	Orders     *Orders
	Allowed    Allowed
	DistanceMM float64
}

// Choice is a mesh weighed by every constraint, moire and deposit among them, with the ruling and angle that its threads
// show least and the beats that are left there, the most visible first.
type Choice struct {
	Pick
	LPI      float64
	AngleDeg float64
	Beats    []Beat
}

// beatsKept is how many beats a choice lists.
const beatsKept = 5

// Choose weighs every mesh, best first; ties keep the catalogue's order. With no mesh that fits, the first is the one that
// breaks its constraints least, and each broken one says what to change.
func Choose(meshes []Mesh, a Ask) []Choice {
	all := make([]Choice, len(meshes))
	for i, m := range meshes {
		all[i] = a.choice(m)
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Score > all[j].Score })
	return all
}

func (a Ask) choice(m Mesh) Choice {
	c, need := Choice{}, a.Need
	if a.Orders != nil {
		found := Search([]Plate{{*a.Orders, m}}, a.Allowed, a.DistanceMM)
		s := Screen{FreqLPI: found.LPI, AngleDeg: found.AngleDeg, Orders: *a.Orders}
		c.LPI, c.AngleDeg, c.Beats = found.LPI, found.AngleDeg, s.Beats(m, a.DistanceMM, beatsKept)
		need = need.at(found.LPI)
	}
	c.Pick = Pick{Mesh: m, Constraints: append(constraints(m, need), deposit(m, need))}
	if len(c.Beats) > 0 {
		c.Constraints = append(c.Constraints, a.moire(m, c.LPI, c.Beats[0]))
	}
	c.Constraints = changesOfBroken(c.Constraints)
	c.Score = c.score(need)
	return c
}

// at is the need at another ruling: the smallest dot grows as the cell does.
func (n Need) at(freqLPI float64) Need {
	if n.FreqLPI > 0 {
		n.MinDotUM *= n.FreqLPI / freqLPI
	}
	n.FreqLPI = freqLPI
	return n
}

// depositMost is how far the ink volume may be from what a role is best served with, as a factor either way. Practice:
// the meshes named for a role differ by about this much.
const depositMost = 1.6

func deposit(m Mesh, n Need) Constraint {
	v, want := m.InkVolumeCM3M2(), wantVolume(n)
	c := Constraint{Code: "ink_deposit", Limit: want, Value: v, OK: v <= want*depositMost && v >= want/depositMost,
		Why: fmt.Sprintf("the mesh holds %.1f cm3 of ink a m2; %s is best served with about %.0f", v, n.name(), want)}
	c.Change = "take a finer mesh: edges and tones fill in under so much ink"
	if v < want {
		c.Change = "take a coarser mesh, or print, flash and print again"
	}
	return c
}

// name says a need in words.
func (n Need) name() string {
	of := map[Role]string{Underbase: "an underbase", Highlight: "a highlight", Colour: "a colour", Black: "a black"}[n.Role]
	if n.FreqLPI > 0 {
		return of + " in halftone"
	}
	return of + " in line"
}

// MoireLimit is the visibility of the worst beat that is let pass. Ours: four times the half percent of contrast that an
// eye sees at its best, since the model lets no ink flow together behind a thread.
const MoireLimit = 0.02

func (a Ask) moire(m Mesh, lpi float64, worst Beat) Constraint {
	c := Constraint{Code: "moire", Limit: MoireLimit, Value: worst.Visibility, OK: worst.Visibility <= MoireLimit,
		Why: fmt.Sprintf("the most visible beat is %.1f %% of contrast, every %.1f mm", 100*worst.Visibility,
			min(worst.PeriodMM, 1e6)),
		Change: "allow other angles or rulings, or take a finer mesh"}
	if !c.OK {
		wide := Search([]Plate{{*a.Orders, m}}, Allowed{[2]float64{lpi * 0.85, lpi * 1.15}, [2]float64{0, 90}}, a.DistanceMM)
		if wide.Visibility <= MoireLimit {
			c.Change = fmt.Sprintf("%.1f lpi at %.1f degrees shows %.1f %%", wide.LPI, wide.AngleDeg, 100*wide.Visibility)
		}
	}
	return c
}
