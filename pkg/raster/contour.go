package raster

import "math/bits"

// Contour cuts a plane on its 50 % contour at device resolution: a device pixel is ink where the plane's coverage,
// upsampled smoothly (Catmull-Rom), is half or more. Edges come out smooth and corners sharp; a stroke one source
// pixel wide keeps its width.
//
// A cell is what lies between a source pixel's centre and the next ones' right of and below it. Only in cells that no
// curve through their sixteen source pixels leaves all solid or all bare is anything computed (see sureKernel), and of
// a device row only in those of them that its four sums leave open. A Contour keeps state between rows: each goroutine
// needs its own.
type Contour struct {
	plane        *Plane
	across, down Axis
	at           int          // the source row the runs below were made for, -1 none
	rows         [4][]uint8   // the source rows from the one above it on
	low, high    []uint8      // see sureKernel
	solid, bare  []uint64     // the cells that are so surely
	runs         []contourRun // of cells, those that are not bare
	sums         []int32      // of one device row; see decideKernel
	inked, open  []uint64     // and what they decide of a run
	weights      []int32      // of the device pixels across; see cutWeights
	heights      [32][4]int32 // the cubic's weights of each 32nd
}

// contourRun is a run of cells that are alike: solid or to be computed.
type contourRun struct {
	solid    bool
	from, to int // source pixels
}

// NewContour cuts plane where the axes sample it.
func NewContour(plane *Plane, across, down Axis) *Contour {
	c := &Contour{plane: plane, across: across, down: down, at: -1}
	words := (plane.Width + 63) / 64
	c.solid, c.bare = make([]uint64, words), make([]uint64, words)
	c.low, c.high = make([]uint8, 64*words+sureSlack), make([]uint8, 64*words+sureSlack)
	c.inked, c.open = make([]uint64, words), make([]uint64, words)
	c.sums = make([]int32, plane.Width+decideSlack)
	for w := range c.heights {
		for j, weight := range CubicWeights(w) {
			c.heights[w][j] = int32(weight)
		}
	}
	c.weights = cutWeights(across.Weight)
	return c
}

// Row inks device row i of the cut, its first pixel at bit x0 of dst; other bits stay as they are.
func (c *Contour) Row(dst []uint64, x0, i int) {
	if at := int(c.down.Index[i]); at != c.at {
		c.at = at
		c.classify()
	}
	first := int(c.across.Index[0])
	for _, r := range c.runs {
		if r.solid {
			FillBits(dst, x0+int(c.across.runs[r.from-first]), x0+int(c.across.runs[r.to-first]))
			continue
		}
		c.mixed(dst, x0, r, &c.heights[c.down.Weight[i]])
	}
}

// classify finds the runs for the source rows round at.
func (c *Contour) classify() {
	for j := range c.rows {
		c.rows[j] = c.plane.Row(min(max(c.at+j-1, 0), c.plane.Height-1))
	}
	sure(c.solid, c.bare, c.low, c.high, &c.rows)
	c.runs = c.runs[:0]
	end := int(c.across.Index[0]) + len(c.across.runs) - 1
	for s := int(c.across.Index[0]); s < end; {
		r := contourRun{from: s}
		switch word, bit := s>>6, uint64(1)<<(s&63); {
		case c.bare[word]&bit != 0:
			s = runEnd(s, end, func(word int) uint64 { return c.bare[word] })
			continue
		case c.solid[word]&bit != 0:
			r.solid = true
			s = runEnd(s, end, func(word int) uint64 { return c.solid[word] })
		default:
			s = runEnd(s, end, func(word int) uint64 { return ^(c.bare[word] | c.solid[word]) })
		}
		r.to = s
		c.runs = append(c.runs, r)
	}
}

// runEnd is the first place from s on whose bit is not set, end at the most.
func runEnd(s, end int, bitsOf func(word int) uint64) int {
	word := s >> 6
	others := ^bitsOf(word) >> (s & 63) << (s & 63)
	for others == 0 && (word+1)<<6 < end {
		word++
		others = ^bitsOf(word)
	}
	return min(word<<6+bits.TrailingZeros64(others), end)
}

// mixed computes one run of one device row: what its cells' sums do not decide pixel by pixel.
func (c *Contour) mixed(dst []uint64, x0 int, r contourRun, down *[4]int32) {
	decide(c.inked, c.open, c.sums, &c.rows, down, r.from, r.to)
	starts := c.across.runs[r.from-int(c.across.Index[0]):][:r.to-r.from+1]
	for word := range (r.to - r.from + 63) / 64 {
		for inked := c.inked[word]; inked != 0; {
			first := bits.TrailingZeros64(inked)
			end := first + bits.TrailingZeros64(^(inked >> first))
			FillBits(dst, x0+int(starts[word<<6+first]), x0+int(starts[word<<6+end]))
			inked = inked >> (end - 1) >> 1 << (end - 1) << 1
		}
		if open := c.open[word]; open != 0 {
			s := word << 6
			cutOpen(dst, x0, open, starts[s:min(s+65, len(starts))], c.sums[r.from+s:], c.weights)
		}
	}
}
