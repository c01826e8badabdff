package raster

import (
	"encoding/binary"
	"math"
)

// Contour cuts a plane on its 50 % contour at device resolution: a device pixel is ink where the plane's coverage,
// upsampled smoothly (Catmull-Rom), is half or more. Edges come out smooth and corners sharp; a stroke one source
// pixel wide keeps its width.
//
// Only where the sixteen source pixels round a place are not all nearer to solid, or all nearer to bare, than a curve
// through them can overshoot is anything computed (see sureSolid). A Contour keeps state between rows: each goroutine
// needs its own.
type Contour struct {
	plane        *Plane
	across, down Axis
	at           int     // the source row the runs below were made for, -1 none
	solid, bare  []uint8 // bit 7: all four rows are sureSolid, sureBare; column by column
	runs         []contourRun
	columns      []int64 // one device row's vertical sums, column by column
	weights      [32]Cubic
}

// contourRun is a run of device pixels that are alike: bare, solid or to be computed.
type contourRun struct {
	kind     contourKind
	from, to int // device pixels
}

type contourKind uint8

const (
	runBare contourKind = iota
	runSolid
	runMixed
)

// NewContour cuts plane where the axes sample it.
func NewContour(plane *Plane, across, down Axis) *Contour {
	c := &Contour{plane: plane, across: across, down: down, at: -1}
	c.solid, c.bare = make([]uint8, plane.Width+8), make([]uint8, plane.Width+8)
	c.columns = make([]int64, plane.Width)
	for w := range c.weights {
		c.weights[w] = CubicWeights(w)
	}
	return c
}

// Row inks device row i of the cut, its first pixel at bit x0 of dst; other bits stay as they are.
func (c *Contour) Row(dst []uint64, x0, i int) {
	if at := int(c.down.Index[i]); at != c.at {
		c.at = at
		c.classify()
	}
	down := c.weights[c.down.Weight[i]]
	for _, r := range c.runs {
		switch r.kind {
		case runSolid:
			FillBits(dst, x0+r.from, x0+r.to)
		case runMixed:
			c.mixed(dst, x0, r, down)
		}
	}
}

// classify finds the runs for the source rows round at.
func (c *Contour) classify() {
	var rows [4][]uint8
	for j := range rows {
		rows[j] = c.plane.Row(min(max(c.at+j-1, 0), c.plane.Height-1))
	}
	c.combine(rows)
	c.runs = c.runs[:0]
	last := c.plane.Width - 1
	for n := range len(c.across.runs) - 1 {
		from, to := int(c.across.runs[n]), int(c.across.runs[n+1])
		if from == to {
			continue
		}
		s := int(c.across.Index[0]) + n
		a, b, d, e := max(s-1, 0), s, min(s+1, last), min(s+2, last)
		kind := runMixed
		if c.bare[a]&c.bare[b]&c.bare[d]&c.bare[e] != 0 {
			kind = runBare
		} else if c.solid[a]&c.solid[b]&c.solid[d]&c.solid[e] != 0 {
			kind = runSolid
		}
		if k := len(c.runs) - 1; k >= 0 && c.runs[k].kind == kind {
			c.runs[k].to = to
		} else {
			c.runs = append(c.runs, contourRun{kind, from, to})
		}
	}
}

// Source pixels of sureSolid and more, all sixteen, are solid between them; of less than sureBare they are bare. The
// weights along an axis are negative by 1/8 in sum at the most, so by 9/32 in both: sixteen pixels of 160 and more give
// 160 x 41/32 - 255 x 9/32 = 133 at the least, of 95 and less 95 x 41/32 = 122 at the most.
const (
	sureSolid = 160
	sureBare  = 96
)

// combine marks the columns that are sure in all four rows, eight at a time.
func (c *Contour) combine(rows [4][]uint8) {
	n := c.plane.Width
	x := 0
	for ; x+8 <= n; x += 8 {
		solid, bare := uint64(math.MaxUint64), uint64(0)
		for _, row := range rows {
			v := binary.LittleEndian.Uint64(row[x:])
			solid &= v & (v<<1 | v<<2) // bit 7, and bit 6 or 5: what runs over from a byte's end stays below bit 2
			bare |= v | v<<1&(v<<2)
		}
		binary.LittleEndian.PutUint64(c.solid[x:], solid&highBits)
		binary.LittleEndian.PutUint64(c.bare[x:], ^bare&highBits)
	}
	for ; x < n; x++ {
		c.solid[x], c.bare[x] = 128, 128
		for _, row := range rows {
			if row[x] < sureSolid {
				c.solid[x] = 0
			}
			if row[x] >= sureBare {
				c.bare[x] = 0
			}
		}
	}
}

// highBits is the top bit of eight bytes.
const highBits = 0x8080_8080_8080_8080

// mixed computes one run: first each source column it touches down the four rows, then each pixel across.
func (c *Contour) mixed(dst []uint64, x0 int, r contourRun, down Cubic) {
	last := c.plane.Width - 1
	first, end := max(int(c.across.Index[r.from])-1, 0), min(int(c.across.Index[r.to-1])+2, last)
	clear(c.columns[first : end+1])
	for j, w := range down {
		row := c.plane.Row(min(max(c.at+j-1, 0), c.plane.Height-1))
		for s := first; s <= end; s++ {
			c.columns[s] += w * int64(row[s])
		}
	}
	for i := r.from; i < r.to; i++ {
		s, w := int(c.across.Index[i]), &c.weights[c.across.Weight[i]]
		v := w[0]*c.columns[max(s-1, 0)] + w[1]*c.columns[s] + w[2]*c.columns[min(s+1, last)] +
			w[3]*c.columns[min(s+2, last)]
		if v >= CubicHalf {
			dst[(x0+i)>>6] |= 1 << ((x0 + i) & 63)
		}
	}
}
