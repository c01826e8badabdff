package tone

import (
	"math"

	"tamis/pkg/fault"
)

// What a curve must do to be worth anything. Ours: films are corrected by its inverse, which makes an error of a reading
// larger by one over the slope: at a fifth, 0.02 of area, what instruments err by, become 0.1 of the film's tone, and
// past that the correction is worse than none. Practice: dots under 5 to 15 % are lost and shadows past 75 to 85 % close
// on presses that print halftones all the same, so a curve may be level for less than 0.4 of the tones. Growth that
// takes 50 % to 90 % passes (12 um of edge in dots of 80 um take it to 65).
const (
	riseSpan  = 0.4
	leastRise = 0.2 // of area for one of tone, over riseSpan and more
)

// How far the readings of one tone may be from their mean, in area, and those of the stock and the solid, as a share of
// what the solid is above the stock. Ours: patches of one tone differ by 0.02 to 0.05 over a print; at three times that
// one was misread, or is another patch. Instruments of transmission repeat to 0.1 at 3.6 D, 3 % of it.
const (
	apartArea = 0.15
	apartEnd  = 0.1
)

// exact is what sums of decimal figures may be off by in binary.
const exact = 1e-9

// noisyArea is the scatter about its curve, in area, from which a strip of noisyTones tones and more between bare and solid
// is called noisy. Ours: a tone is then off by 0.06 now and then, and it shows. Strips of few steps read without any error
// scatter by up to 0.024, since they bend more than so few steps tell, and those of three by anything
// (TestOrdinaryStripsAreNotNoisy).
const (
	noisyArea  = 0.03
	noisyTones = 5
)

// checkAreas names the patches whose tone was read otherwise elsewhere on the strip, and those up to which it rises too
// little.
func (s Strip) checkAreas(groups []group) error {
	var c fault.Checker
	for _, g := range groups {
		c.Add(s.checkApart(g, groups[0].read, groups[len(groups)-1].read))
	}
	if c.Err() == nil {
		c.Add(s.checkSlope(groups))
	}
	return c.Err()
}

// checkApart names the readings of one tone that are far from their mean.
func (s Strip) checkApart(g group, bare, solid float64) error {
	var c fault.Checker
	at, from, limit, unit := g.areas, g.area, apartArea, " of area"
	if s.Densities && g.tone == math.Round(g.tone) {
		at, from, limit, unit = g.reads, g.read, apartEnd*(solid-bare), " D"
	}
	for i, v := range at {
		if off := math.Abs(v - from); off > limit {
			c.Addf(s.field(g.patches[i]), "readings_apart", "%.3g%s, where the readings of tone %g are %.3g on average: %.2g "+
				"apart; at most %.2g can be", v, unit, g.tone, from, off, limit)
		}
	}
	return c.Err()
}

// checkSlope names every tone up to which the areas rise too little from one riseSpan or more below. Where bare stock or
// solid was not read they count as 0 and 1.
func (s Strip) checkSlope(groups []group) error {
	all := groups
	if all[0].tone > 0 {
		all = append([]group{{}}, all...)
	}
	if all[len(all)-1].tone < 1 {
		all = append(all[:len(all):len(all)], group{tone: 1, area: 1})
	}
	var c fault.Checker
	for j, b := range all {
		worst, from := 0.0, group{}
		for _, a := range all[:j] {
			short := float64(leastRise*(b.tone-a.tone)) - (b.area - a.area)
			if b.tone-a.tone >= riseSpan-exact && short > worst+exact {
				worst, from = short, a
			}
		}
		if worst == 0 {
			continue
		}
		named := b
		if len(named.patches) == 0 { // the solid that was not read
			named = from
		}
		c.Addf(s.field(named.patches[0]), "strip_level", "from tone %g to %g the area rises from %.3g to %.3g, by %.2g; "+
			"%.2g or more is wanted: a press or film so level holds no halftones there", from.tone, b.tone, from.area, b.area,
			b.area-from.area, leastRise*(b.tone-from.tone))
	}
	return c.Err()
}
