package artwork

// A run is part of a line where its neighbours in the next rows (or columns) are nearly as thick and stand in line with
// it for some way. The tips of stars and the feet of letters run out to nothing in all art, and are no lines.
const (
	lineLength  = 4  // how many times its thickness a line goes on. Ours; TestTipsAreNoLines holds it
	shortestPX  = 10 // and how far at least: the stem of a letter
	hairline16  = 20 // what is not this thick, in sixteenths of a pixel, is too blurred to tell from a tip,
	hairlinePX  = 20 // and must go on farther
	enoughPX    = 48 // farther need not be looked, however thick
	steepestPX  = 2  // most shift from one row to the next: flatter lines are found by the other direction
	evenAbove16 = 5  // sixteenths of a pixel by which thickness may vary in any case
	evenSlope   = 24 // and a pixel more in so many
)

// chain is a line so far: where its last run was and how thick its runs are.
type chain struct {
	kind        LineKind
	at          int
	least, most int
	length, sum int // runs, and their thicknesses together
	last        int // its last run among the marks held back; -1 none: the chain counts
}

// held is a run held back until its chain counts.
type held struct {
	mark
	before int
}

// chains follows the lines of one direction from row to row and passes on the runs of those that go on long enough,
// each as thick as its line is on the whole: at slanting ends runs are shorter.
type chains struct {
	line    int
	was, is []chain
	from    int // first chain of was that may still go on: runs come in rising order
	back    []held
	emit    func(mark)
}

// next begins another row (or column); a gap in the numbers ends all chains.
func (c *chains) next(line int) {
	c.was, c.is = c.is, c.was[:0]
	if line != c.line+1 {
		c.was, c.back = c.was[:0], c.back[:0]
	}
	c.line, c.from = line, 0
}

// take adds a run at a place in the row.
func (c *chains) take(m mark, at int) {
	one := chain{kind: m.kind, at: at, least: m.width16, most: m.width16, length: 1, sum: m.width16, last: -1}
	for c.from < len(c.was) && c.was[c.from].at < at-steepestPX {
		c.from++
	}
	for _, old := range c.was[c.from:] {
		if old.at > at+steepestPX {
			break
		}
		least, most := min(old.least, m.width16), max(old.most, m.width16)
		if old.kind == m.kind && most-least <= evenAbove16+16*old.length/evenSlope {
			one.least, one.most, one.length, one.sum, one.last = least, most, old.length+1, old.sum+m.width16, old.last
			break
		}
	}
	if one.counts() {
		c.back = append(c.back, held{m, one.last})
		for i := len(c.back) - 1; i >= 0; i = c.back[i].before {
			passed := c.back[i].mark
			passed.width16 = one.sum / one.length
			c.emit(passed)
		}
		c.back, one.last = c.back[:len(c.back)-1], -1
	} else {
		c.back = append(c.back, held{m, one.last})
		one.last = len(c.back) - 1
	}
	c.is = append(c.is, one)
}

// counts tells a chain long enough to be a line.
func (c *chain) counts() bool {
	shortest := shortestPX
	if c.least < hairline16 {
		shortest = hairlinePX
	}
	return c.length >= min(max(lineLength*c.least/16, shortest), enoughPX)
}
