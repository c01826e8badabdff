package raster

import (
	"encoding/binary"
	"math/bits"
)

// RegionCut finds, at device resolution, the pixels whose label is in one of a shape's two sets: the label that has the
// largest share there, the shares upsampled smoothly (Catmull-Rom); of equal shares the lowest label's.
//
// So every device pixel has exactly one label, and cuts of disjoint sets neither overlap nor leave a gap, also where
// three labels meet. Between two labels the border is the 50 % contour, as Contour cuts it. Artwork finer than the
// device is read at the device pixels' centres.
//
// Only where the sixteen source pixels round a place differ is anything computed. A RegionCut keeps state between
// rows: each goroutine needs its own.
type RegionCut struct {
	regions      *Regions
	sets         [2]Labels // the shape's own, and those it reaches under
	across, down Axis
	at           int      // the source row the runs below were made for, -1 none
	seen         []Labels // the labels in the four rows, column by column
	runs         []regionRun
	columns      []int64 // one device row's vertical sums, [label of the run][column]
	weights      [32]Cubic
}

// regionRun is a run of device pixels between the same source labels.
type regionRun struct {
	seen     Labels
	from, to int // device pixels
}

// NewRegionCut cuts a shape where the axes sample its regions.
func NewRegionCut(s *Shape, across, down Axis) *RegionCut {
	c := &RegionCut{regions: s.Regions, sets: [2]Labels{s.Own, s.Under}, across: across, down: down, at: -1}
	c.seen = make([]Labels, s.Regions.Width)
	for w := range c.weights {
		c.weights[w] = CubicWeights(w)
	}
	return c
}

// Row marks device row i of the shape's own labels in own and of those it reaches under in under, its first pixel at bit
// x0; other bits stay as they are. It tells whether under may have any.
func (c *RegionCut) Row(own, under []uint64, x0, i int) (reaches bool) {
	if at := int(c.down.Index[i]); at != c.at {
		c.at = at
		c.look()
		c.classify()
	}
	down := c.weights[c.down.Weight[i]]
	dst := [2][]uint64{own, under}
	for _, r := range c.runs {
		reaches = reaches || r.seen&c.sets[1] != 0
		switch {
		case r.seen&(c.sets[0]|c.sets[1]) == 0:
		case r.seen&^c.sets[0] == 0:
			FillBits(own, x0+r.from, x0+r.to)
		case r.seen&^c.sets[1] == 0:
			FillBits(under, x0+r.from, x0+r.to)
		case bits.OnesCount32(uint32(r.seen)) == 2:
			c.between(dst, x0, r, down)
		default:
			c.among(dst, x0, r, down)
		}
	}
	return reaches
}

// row is where source row y lies, held at the picture's ends.
func (c *RegionCut) row(y int) int { return min(max(y, 0), c.regions.Height-1) * c.regions.Width }

// look gathers the labels of the four source rows round at, eight columns at a time where all are alike.
func (c *RegionCut) look() {
	a, b, n := c.regions.A, c.regions.B, c.regions.Width
	rows := [4]int{c.row(c.at - 1), c.row(c.at), c.row(c.at + 1), c.row(c.at + 2)}
	for x := 0; x < n; x += 8 {
		if x+8 <= n {
			first, differ := binary.LittleEndian.Uint64(a[rows[0]+x:]), uint64(0)
			for _, r := range rows {
				differ |= binary.LittleEndian.Uint64(a[r+x:]) ^ first
				differ |= binary.LittleEndian.Uint64(b[r+x:]) ^ first
			}
			if differ == 0 && first == first&255*0x0101_0101_0101_0101 {
				for i := range c.seen[x : x+8] {
					c.seen[x+i] = 1 << (first & 31)
				}
				continue
			}
		}
		for v := x; v < min(x+8, n); v++ {
			c.seen[v] = 0
			for _, r := range rows {
				c.seen[v] |= 1<<(a[r+v]&31) | 1<<(b[r+v]&31)
			}
		}
	}
}

// classify joins device pixels that lie between the same labels into runs.
func (c *RegionCut) classify() {
	c.runs = c.runs[:0]
	last := c.regions.Width - 1
	for n := range len(c.across.runs) - 1 {
		from, to := int(c.across.runs[n]), int(c.across.runs[n+1])
		if from == to {
			continue
		}
		s := int(c.across.Index[0]) + n
		seen := c.seen[max(s-1, 0)] | c.seen[s] | c.seen[min(s+1, last)] | c.seen[min(s+2, last)]
		if k := len(c.runs) - 1; k >= 0 && c.runs[k].seen == seen {
			c.runs[k].to = to
		} else {
			c.runs = append(c.runs, regionRun{seen, from, to})
		}
	}
}

// target is where a label's pixels are marked: 0 own, 1 under, -1 nowhere.
func (c *RegionCut) target(label uint8) int {
	switch {
	case c.sets[0].Has(label):
		return 0
	case c.sets[1].Has(label):
		return 1
	}
	return -1
}

// between cuts a run that lies between two labels: the lower one has what is half or more.
func (c *RegionCut) between(dst [2][]uint64, x0 int, r regionRun, down Cubic) {
	low := uint8(bits.TrailingZeros32(uint32(r.seen)))
	first, columns := c.sums(r, low, 0, down)
	targets := [2]int{c.target(uint8(bits.Len32(uint32(r.seen)) - 1)), c.target(low)}
	for i := r.from; i < r.to; i++ {
		half := 0
		if c.sample(columns, first, i) >= CubicHalf {
			half = 1
		}
		if t := targets[half]; t >= 0 {
			dst[t][(x0+i)>>6] |= 1 << ((x0 + i) & 63)
		}
	}
}

// among cuts a run that lies among three labels or more: the largest share has each pixel.
func (c *RegionCut) among(dst [2][]uint64, x0 int, r regionRun, down Cubic) {
	var labels [32]uint8
	var columns [32][]int64
	n, first := 0, 0
	for left := uint32(r.seen); left != 0; left &= left - 1 {
		labels[n] = uint8(bits.TrailingZeros32(left))
		n++
	}
	c.room(r, n)
	for k := range n {
		first, columns[k] = c.sums(r, labels[k], k, down)
	}
	for i := r.from; i < r.to; i++ {
		best, most := 0, c.sample(columns[0], first, i)
		for k := 1; k < n; k++ {
			if v := c.sample(columns[k], first, i); v > most {
				best, most = k, v
			}
		}
		if t := c.target(labels[best]); t >= 0 {
			dst[t][(x0+i)>>6] |= 1 << ((x0 + i) & 63)
		}
	}
}

// reach is the source columns that a run touches, both included.
func (c *RegionCut) reach(r regionRun) (first, last int) {
	return max(int(c.across.Index[r.from])-1, 0), min(int(c.across.Index[r.to-1])+2, c.regions.Width-1)
}

// room makes columns hold n labels of a run.
func (c *RegionCut) room(r regionRun, n int) {
	first, last := c.reach(r)
	if need := n * (last - first + 1); need > len(c.columns) {
		c.columns = make([]int64, 2*need)
	}
}

// sums gives the vertical sums of a label's shares over the source columns of a run, from column first on, kept in
// the k-th place of columns.
func (c *RegionCut) sums(r regionRun, label uint8, k int, down Cubic) (first int, columns []int64) {
	c.room(r, k+1)
	first, last := c.reach(r)
	n := last - first + 1
	columns = c.columns[k*n : (k+1)*n]
	clear(columns)
	g := c.regions
	for j, w := range down {
		at := c.row(c.at+j-1) + first
		a, b, share := g.A[at:at+n], g.B[at:at+n], g.Share[at:at+n]
		for x := range columns {
			v := int64(0)
			if a[x] == label {
				v = int64(share[x])
			}
			if b[x] == label {
				v += 255 - int64(share[x])
			}
			columns[x] += w * v
		}
	}
	return first, columns
}

// sample is the share at device pixel i, in the units of CubicAt.
func (c *RegionCut) sample(columns []int64, first, i int) int64 {
	s, w := int(c.across.Index[i])-first, &c.weights[c.across.Weight[i]]
	last := len(columns) - 1
	return w[0]*columns[max(s-1, 0)] + w[1]*columns[s] + w[2]*columns[min(s+1, last)] + w[3]*columns[min(s+2, last)]
}
