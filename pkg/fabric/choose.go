package fabric

import (
	"fmt"
	"sort"
)

// Ask is what a whole mesh pick starts from. Orders is the halftone's, nil for line work and for screens without a
// grid; Allowed bounds the search of ruling and angle; DistanceMM is how near the print is looked at.
type Ask struct {
	Need       Need
	Orders     *Orders
	Allowed    Allowed
	DistanceMM float64
}

// Choice is a mesh weighed by every constraint, moire and deposit among them, with the ruling and angle that its
// threads show least and the beats that are left there, the most visible first.
type Choice struct {
	Pick
	LPI      float64
	AngleDeg float64
	Beats    []Beat
}

// beatsKept is how many beats a choice lists.
const beatsKept = 5

// Choose weighs every mesh, best first; ties keep the catalogue's order. With no mesh that fits, the first is the one
// that breaks its constraints least, and each broken one says what to change.
func Choose(meshes []Mesh, a Ask) []Choice {
	all := make([]Choice, len(meshes))
	for i, m := range meshes {
		all[i] = a.choice(m)
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Score > all[j].Score })
	return all
}

// choice is a mesh at the finest allowed ruling that meets every constraint, or at the one that breaks them least.
func (a Ask) choice(m Mesh) Choice {
	if a.Orders == nil {
		c := Choice{Pick: Pick{Mesh: m, Constraints: a.still(m, a.Need)}}
		c.Score = c.score(a.Need)
		return c
	}
	lpi := a.finest(m)
	best := a.at(m, lpi)
	for lpi -= lpiStep; lpi >= a.Allowed.LPI[0]-1e-9 && !best.Fits(); lpi -= lpiStep {
		if c := a.at(m, lpi); c.Score > best.Score {
			best = c
		}
	}
	return best
}

// finest is the finest allowed ruling at which all holds but, perhaps, moire; the coarsest where there is none.
func (a Ask) finest(m Mesh) float64 {
	for lpi := a.Allowed.LPI[1]; lpi > a.Allowed.LPI[0]; lpi -= lpiStep {
		if (Pick{Constraints: a.still(m, a.Need.at(lpi))}).Fits() {
			return lpi
		}
	}
	return a.Allowed.LPI[0]
}

// still are the constraints that know nothing of angles.
func (a Ask) still(m Mesh, n Need) []Constraint {
	return constraints(m, n)
}

// at is a mesh at one ruling, at the angle its threads show least.
func (a Ask) at(m Mesh, lpi float64) Choice {
	need := a.Need.at(lpi)
	found := Search([]Plate{{Orders: *a.Orders, Mesh: m}}, Allowed{LPI: [2]float64{lpi, lpi}, AngleDeg: a.Allowed.AngleDeg}, a.DistanceMM)
	s := Screen{FreqLPI: lpi, AngleDeg: found.AngleDeg, Orders: *a.Orders}
	c := Choice{Pick: Pick{Mesh: m, Constraints: a.still(m, need)}, LPI: lpi, AngleDeg: found.AngleDeg,
		Beats: s.Beats(m, a.DistanceMM, beatsKept)}
	if len(c.Beats) > 0 {
		c.Constraints = append(c.Constraints, a.moire(m, lpi, c.Beats[0]))
	}
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
	c := Constraint{Code: depositCode, Limit: want, Value: v, OK: v <= want*depositMost && v >= want/depositMost,
		Why: fmt.Sprintf("the mesh holds %.1f cm3 of ink a m2; %s is best served with about %.0f", v, n.name(), want)}
	c.Change = "take a finer mesh: edges and tones fill in under so much ink"
	if v < want {
		c.Change = "take a coarser mesh, or print, flash and print again"
	}
	return c
}

// name says a need in words.
func (n Need) name() string {
	of := map[Role]string{Underbase: "an underbase", Highlight: "a highlight", Colour: "a colour",
		Black: "a black"}[n.Role]
	if n.halftone() {
		return of + " in halftone"
	}
	return of + " in line"
}

// MoireLimit is the visibility of the worst beat that is let pass. Ours: four times the half percent of contrast that
// an eye sees at its best, since the model lets no ink flow together behind a thread.
const MoireLimit = 0.02

func (a Ask) moire(m Mesh, lpi float64, worst Beat) Constraint {
	c := Constraint{Code: "moire", Limit: MoireLimit, Value: worst.Visibility, OK: worst.Visibility <= MoireLimit,
		Why: fmt.Sprintf("the most visible beat is %.1f %% of contrast, every %.1f mm", 100*worst.Visibility,
			min(worst.PeriodMM, 1e6)),
		Change: "allow other angles or rulings, or take a finer mesh"}
	if c.OK {
		c.Change = ""
	} else {
		wide := Search([]Plate{{Orders: *a.Orders, Mesh: m}},
			Allowed{LPI: [2]float64{lpi * 0.85, lpi * 1.15}, AngleDeg: [2]float64{0, 90}}, a.DistanceMM)
		if wide.Visibility <= MoireLimit {
			c.Change = fmt.Sprintf("%.1f lpi at %.1f degrees shows %.1f %%", wide.LPI, wide.AngleDeg, 100*wide.Visibility)
		}
	}
	return c
}
