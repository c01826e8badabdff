package fabric

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// Role says what a plate is for; the deposit it wants follows.
type Role string

// The roles. An underbase wants more ink, a highlight and a halftone less.
const (
	Underbase Role = "underbase"
	Colour    Role = "color"
	Highlight Role = "highlight"
	Black     Role = "black"
)

// Need is what a plate asks of a mesh. FreqLPI 0 means line work or, with a MinDotUM, scattered dots, which have no ruling;
// MinDotUM and MinLineUM 0 mean unknown;
// MaxParticleUM is the largest grain of the ink.
type Need struct {
	Role          Role
	FreqLPI       float64
	MinDotUM      float64
	MinLineUM     float64
	MaxParticleUM float64
}

// halftone tells dots from line work.
func (n Need) halftone() bool { return n.FreqLPI > 0 || n.MinDotUM > 0 }

// Constraint is one rule weighed: its code, the limit and the mesh's value in the same unit, whether it holds, and why.
// Change says what would make it hold, where it does not.
type Constraint struct {
	Code   string
	Limit  float64
	Value  float64
	OK     bool
	Why    string
	Change string
}

// Pick is one mesh with its constraints. Score is 0..1, higher is better; a pick that breaks a constraint scores below
// every one that breaks none.
type Pick struct {
	Mesh        Mesh
	Score       float64
	Constraints []Constraint
}

// Fits tells whether every constraint holds.
func (p Pick) Fits() bool {
	for _, c := range p.Constraints {
		if !c.OK {
			return false
		}
	}
	return true
}

// depositCode is the code of the rule on ink volume.
const depositCode = "ink_deposit"

// Carries tells whether every constraint holds but, perhaps, the ink volume's: that one no ruling and no dot changes.
func (p Pick) Carries() bool {
	return !slices.ContainsFunc(p.Constraints, func(c Constraint) bool { return !c.OK && c.Code != depositCode })
}

// wantVolume is the theoretical ink volume a role is best served with, in cm3/m2: for line work and for halftones.
// Practice: underbases on 43-61 threads/cm, general line work on 54-77, halftones on 77-120, highlights finer.
func wantVolume(n Need) float64 {
	switch {
	case n.Role == Underbase && !n.halftone():
		return 42
	case n.Role == Underbase:
		return 28
	case n.Role == Highlight:
		return 24
	case !n.halftone():
		return 34
	}
	return 22
}

// meshPerRuling is the least mesh count per line of ruling. Practice: 3.5 to 4 is the usual advice.
const meshPerRuling = 3.5

// Rank scores every mesh for a need, best first; ties keep the catalogue's order. An empty catalogue gives nothing.
func Rank(meshes []Mesh, n Need) []Pick {
	picks := make([]Pick, len(meshes))
	for i, m := range meshes {
		picks[i] = weigh(m, n)
	}
	sort.SliceStable(picks, func(i, j int) bool { return picks[i].Score > picks[j].Score })
	return picks
}

func weigh(m Mesh, n Need) Pick {
	p := Pick{Mesh: m, Constraints: constraints(m, n)}
	p.Score = p.score(n)
	return p
}

// score is how well the mesh's ink volume fits the need, halved and more where constraints are broken.
func (p Pick) score(n Need) float64 {
	fit := math.Exp(-math.Abs(math.Log(p.Mesh.InkVolumeCM3M2() / wantVolume(n))))
	broken := 0.0
	for _, c := range p.Constraints {
		if !c.OK {
			broken += shortfall(c)
		}
	}
	if broken > 0 {
		return 0.5 * fit / (1 + 4*broken)
	}
	return 0.5 + 0.5*fit
}

// shortfall is how far a broken constraint is from holding, as a fraction of its limit, at least 0.05.
func shortfall(c Constraint) float64 {
	return math.Max(0.05, math.Abs(c.Value-c.Limit)/math.Max(c.Limit, 1e-9))
}

// constraints weighs the rules that apply to this need.
func constraints(m Mesh, n Need) []Constraint {
	var cs []Constraint
	if n.FreqLPI > 0 {
		cs = append(cs, ratioHolds(m, n.FreqLPI))
	}
	if n.MinDotUM > 0 {
		c := atMost("smallest_dot", n.MinDotUM, m.SmallestDotUM(),
			"the mesh holds dots of %.0f um; the plate's smallest is %.0f um")
		c.Change = fmt.Sprintf("take dots of %.0f um or more on this mesh, or a mesh of finer threads", math.Ceil(c.Value))
		if n.FreqLPI > 0 {
			diameter := c.Value * n.FreqLPI / 25400 // in cells
			c.Change = fmt.Sprintf("end the highlights at %.0f %%, or take %.0f lpi or coarser on this mesh",
				math.Ceil(100*math.Pi/4*diameter*diameter), math.Floor(n.FreqLPI*c.Limit/c.Value))
		}
		cs = append(cs, c)
	}
	if n.MinLineUM > 0 {
		c := atMost("smallest_line", n.MinLineUM, m.SmallestDotUM(),
			"the mesh holds lines of %.0f um; the plate's thinnest is %.0f um")
		c.Change = fmt.Sprintf("thicken the lines to %.2f mm, print %.0f %% larger, or drop them", c.Value/1000,
			math.Ceil(100*(c.Value/c.Limit-1)))
		cs = append(cs, c)
	}
	if n.MaxParticleUM > 0 {
		l := m.LargestParticleUM()
		cs = append(cs, Constraint{"particle", n.MaxParticleUM, l, l >= n.MaxParticleUM,
			fmt.Sprintf("grains up to %.0f um pass; the ink's largest is %.0f um", l, n.MaxParticleUM),
			fmt.Sprintf("take an ink with grains of %.0f um at most, or a coarser mesh", math.Floor(l))})
	}
	return changesOfBroken(append(cs, deposit(m, n)))
}

func ratioHolds(m Mesh, freqLPI float64) Constraint {
	r := m.Ratio(freqLPI)
	return Constraint{"mesh_to_ruling", meshPerRuling, r, r >= meshPerRuling,
		fmt.Sprintf("%.2f threads to a halftone line; %.1f or more keeps the dots whole", r, meshPerRuling),
		fmt.Sprintf("take %.0f lpi or coarser on this mesh, or a mesh of %.0f threads/cm or more",
			math.Floor(m.TPI()/meshPerRuling), math.Ceil(meshPerRuling*freqLPI/2.54))}
}

// changesOfBroken leaves what to change only where something must be.
func changesOfBroken(cs []Constraint) []Constraint {
	for i := range cs {
		if cs[i].OK {
			cs[i].Change = ""
		}
	}
	return cs
}

func atMost(code string, limit, value float64, format string) Constraint {
	return Constraint{Code: code, Limit: limit, Value: value, OK: value <= limit, Why: fmt.Sprintf(format, value, limit)}
}
