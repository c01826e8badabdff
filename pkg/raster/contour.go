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
	columns      []int32      // one device row's sums down the rows, less half coverage; the first is column -1's
	weights      [32]Cubic    // across
	heights      [32][4]int32 // the same, down
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
	c.columns = make([]int32, plane.Width+3)
	for w := range c.weights {
		c.weights[w] = CubicWeights(w)
		for j, weight := range c.weights[w] {
			c.heights[w][j] = int32(weight)
		}
	}
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
		c.sum(r, &c.heights[c.down.Weight[i]])
		c.mixed(dst, x0, r)
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

// sum adds up the columns that a run's cells touch down the four rows, less half. Beyond the plane its edge goes on.
func (c *Contour) sum(r contourRun, down *[4]int32) {
	last := c.plane.Width - 1
	first, end := max(r.from-1, 0), min(r.to+1, last)
	sums := c.columns[first+1:][:end+1-first]
	a, b, d, e := c.rows[0][first:], c.rows[1][first:], c.rows[2][first:], c.rows[3][first:]
	for s := range sums {
		sums[s] = down[0]*int32(a[s]) + down[1]*int32(b[s]) + down[2]*int32(d[s]) + down[3]*int32(e[s]) - CubicHalf>>16
	}
	if r.from == 0 {
		c.columns[0] = c.columns[1]
	}
	for s := end + 1; s <= r.to+1; s++ {
		c.columns[s+1] = c.columns[last+1]
	}
}

// mixed computes one run cell by cell. The weights across are negative by 1/8 in sum at the most: where the least of a
// cell's four sums l and the greatest g keep l - (g-l)/8 at half or above, or g + (g-l)/8 below, all its pixels are alike.
func (c *Contour) mixed(dst []uint64, x0 int, r contourRun) {
	starts := c.across.runs[r.from-int(c.across.Index[0]):][:r.to-r.from+1]
	columns := c.columns[r.from:][:r.to-r.from+3]
	x := int(starts[0])
	for s, next := range starts[1:] {
		end := int(next)
		sums := (*[4]int32)(columns[s:])
		least := min(sums[0], sums[1], sums[2], sums[3])
		greatest := max(sums[0], sums[1], sums[2], sums[3])
		switch {
		case 9*greatest < least: // bare
		case 9*least >= greatest:
			FillBits(dst, x0+x, x0+end)
		default:
			c.cell(dst, x0, x, end, sums)
		}
		x = end
	}
}

// cell computes the pixels from..to-1 of one cell across its four sums.
func (c *Contour) cell(dst []uint64, x0, from, to int, sums *[4]int32) {
	a, b, d, e := int64(sums[0]), int64(sums[1]), int64(sums[2]), int64(sums[3])
	for from < to {
		end := min(from+64, to)
		var ink uint64
		for i, weight := range c.across.Weight[from:end] {
			w := &c.weights[weight&31]
			ink |= uint64(^(w[0]*a + w[1]*b + w[2]*d + w[3]*e)) >> 63 << (i & 63)
		}
		word, shift := (x0+from)>>6, (x0+from)&63
		dst[word] |= ink << shift
		if over := ink >> (63 - shift) >> 1; over != 0 {
			dst[word+1] |= over
		}
		from = end
	}
}
