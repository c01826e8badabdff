package tone

import (
	"math"
	"slices"
	"sort"
	"strconv"

	"tamis/pkg/fault"
)

// Patch is one reading of a control strip: the tone it was made of, 0..1, and what was read, a density or an area.
type Patch struct{ Tone, Read float64 }

// Strip is the readings of a control strip, in any order, tones more than once where they were read more than once.
// Densities tells what was read: absolute densities, among them the bare stock's (tone 0) and the solid's (tone 1), or
// effective areas, 0..1. N is the Yule-Nielsen factor for densities, 1 to 4; 0 is 1, Murray-Davies. Film is the curve of
// the device that made the film of a print's strip: what it made of the tones counts as the tones. The zero Curve takes
// them as they are.
type Strip struct {
	Patches   []Patch
	Densities bool
	N         float64
	Film      Curve
}

// Measured is what a strip tells of a device or a press.
type Measured struct {
	Curve     Curve   // tone asked for -> area made
	Monotone  bool    // no reading fell below a lighter tone's
	Noisy     bool    // they scatter more than a strip well read
	NoiseArea float64 // how far readings scatter about the curve: a standard deviation, in area, 0..1
}

// The bounds of a strip. Ours: three tones between bare and solid show a bend; past 200 readings nothing is gained, and
// what the curve takes grows with the cube.
const (
	leastTones   = 3
	mostPatches  = 200
	mostDensity  = 6.0
	leastDensity = -0.5 // a densitometer zeroed on film or paper reads a little below 0
	mostN        = 4.0
)

// What a reading may fall by before it cannot be: densitometers repeat to 0.01 D, and a difference has two of them,
// so 0.03 is twice its standard deviation; areas likewise.
//
// A solid stands leastSolid above the stock: less, and what instruments err by is 7 % of area at mid-tone and more. Ours;
// yellow, the lightest ink of a process set, reads 0.9 through its own filter, a film 2 and more.
const (
	fallDensity  = 0.03
	fallArea     = 0.02
	leastSolid   = 0.3
	endTolerance = 0.05 // what an area read on the bare stock or the solid may be off by
)

// Measure makes the curve of a strip: densities become areas, repeated tones are averaged, a smooth curve is laid
// through what is left and kept from falling; bare stays bare and solid solid.
//
// Readings that cannot be are fault.Invalid, each at its own /patches/<n>/density (or area, or tone), too few or no
// ends at /patches, a factor out of range at /n.
func Measure(s Strip) (Measured, error) {
	if s.N == 0 {
		s.N = 1
	}
	if err := s.checkPatches(); err != nil {
		return Measured{}, err
	}
	s = s.onFilm()
	groups := s.grouped()
	if err := s.checkGroups(groups); err != nil {
		return Measured{}, err
	}
	if err := s.toAreas(groups); err != nil {
		return Measured{}, err
	}
	if err := s.checkAreas(groups); err != nil {
		return Measured{}, err
	}
	return measured(groups), nil
}

// onFilm is the strip with the tones that stood on its film.
func (s Strip) onFilm() Strip {
	s.Patches = slices.Clone(s.Patches)
	for i, p := range s.Patches {
		s.Patches[i].Tone = s.Film.At(p.Tone)
	}
	return s
}

// group is all readings of one tone: their mean is read, and so is area once reckoned.
type group struct {
	tone, read, area float64
	patches          []int     // their indices
	areas            []float64 // one a reading
	reads            []float64
}

// oneTone is how far apart two tints may be and still count as one: closer ones make a curve bend to their noise.
const oneTone = 0.002

// grouped sorts the readings by tone and gathers those of one tone. Bare stock and solid stand by themselves.
func (s Strip) grouped() []group {
	order := make([]int, len(s.Patches))
	for n := range order {
		order[n] = n
	}
	sort.SliceStable(order, func(i, j int) bool { return s.tint(order[i]) < s.tint(order[j]) })
	var groups []group
	for _, n := range order {
		tone := s.tint(n)
		last := len(groups) - 1
		if last < 0 || !sameTone(groups[last].tone, tone) {
			groups = append(groups, group{tone: tone})
			last++
		}
		groups[last].patches = append(groups[last].patches, n)
		groups[last].reads = append(groups[last].reads, s.Patches[n].Read)
	}
	for i := range groups {
		groups[i].read = mean(groups[i].reads)
	}
	return groups
}

// tint is a patch's tone; what is neither bare nor solid is kept off both.
func (s Strip) tint(n int) float64 {
	tone := s.Patches[n].Tone
	if tone == 0 || tone == 1 {
		return tone
	}
	return min(max(tone, oneTone), 1-oneTone)
}

// sameTone tells whether two tones, a not above b, count as one.
func sameTone(a, b float64) bool { return a == b || (a > 0 && b < 1 && b-a < oneTone) }

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// field is the JSON pointer of what was read of a patch.
func (s Strip) field(n int) string {
	if s.Densities {
		return "/patches/" + strconv.Itoa(n) + "/density"
	}
	return "/patches/" + strconv.Itoa(n) + "/area"
}

// checkPatches looks at each reading by itself.
func (s Strip) checkPatches() error {
	var c fault.Checker
	if len(s.Patches) > mostPatches {
		c.Addf("/patches", "strip_too_long", "%d readings; at most %d are taken", len(s.Patches), mostPatches)
		return c.Err()
	}
	low, high, unit := 0.0, 1.0, ""
	if s.Densities {
		low, high, unit = leastDensity, mostDensity, " D"
		c.Between("/n", s.N, 1, mostN, "")
	}
	for n, p := range s.Patches {
		c.Between("/patches/"+strconv.Itoa(n)+"/tone", p.Tone, 0, 1, "")
		c.Between(s.field(n), p.Read, low, high, unit)
	}
	return c.Err()
}

// checkGroups looks at the readings together: enough of them, both ends where they are needed, never falling.
func (s Strip) checkGroups(groups []group) error {
	var c fault.Checker
	between := 0
	for _, g := range groups {
		if g.tone > 0 && g.tone < 1 {
			between++
		}
	}
	if between < leastTones {
		c.Addf("/patches", "strip_too_few", "%d tones between bare and solid; %d or more are wanted", between, leastTones)
		return c.Err()
	}
	if s.Densities {
		c.Add(s.checkEnds(groups))
	}
	if c.Err() == nil {
		c.Add(s.checkRise(groups))
	}
	return c.Err()
}

// checkEnds wants the bare stock and a solid that is denser.
func (s Strip) checkEnds(groups []group) error {
	bare, solid := groups[0], groups[len(groups)-1]
	switch {
	case bare.tone != 0 || solid.tone != 1:
		return fault.Invalidf("/patches", "strip_ends",
			"densities want readings of the bare stock (tone 0) and of the solid (tone 1) beside the tints")
	case solid.read < bare.read+leastSolid:
		return fault.Invalidf(s.field(solid.patches[0]), "solid_not_dense",
			"the solid reads %g and the bare stock %g; the solid must be %g denser or more", solid.read, bare.read, leastSolid)
	}
	return nil
}

// checkRise names every tone that reads lighter than a lighter tone by more than instruments err.
func (s Strip) checkRise(groups []group) error {
	var c fault.Checker
	allowed := fallArea
	if s.Densities {
		allowed = fallDensity
	}
	top := groups[0]
	for _, g := range groups[1:] {
		if g.read < top.read-allowed {
			c.Addf(s.field(g.patches[0]), "reading_falls", "tone %g reads %g, below the %g of tone %g, by more than the %g that "+
				"instruments err", g.tone, g.read, top.read, top.tone, allowed)
		}
		if g.read > top.read {
			top = g
		}
	}
	if !s.Densities {
		for _, g := range groups {
			if end := math.Round(g.tone); g.tone == end && math.Abs(g.read-end) > endTolerance {
				c.Addf(s.field(g.patches[0]), "area_of_end", "tone %g reads an area of %g; %g is wanted, within %g", g.tone, g.read,
					end, endTolerance)
			}
		}
	}
	return c.Err()
}

// toAreas turns every reading into an area.
func (s Strip) toAreas(groups []group) error {
	bare, solid := groups[0].read, groups[len(groups)-1].read
	for i := range groups {
		g := &groups[i]
		g.areas = g.reads
		if s.Densities {
			g.areas = make([]float64, len(g.reads))
			for n, d := range g.reads {
				area, err := AreaYuleNielsen(bare, solid, d, s.N)
				if err != nil {
					return err
				}
				g.areas[n] = area
			}
		}
		g.area = mean(g.areas)
	}
	return nil
}
