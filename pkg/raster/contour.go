package raster

import "encoding/binary"

// Contour cuts a plane on its 50 % contour at device resolution: a device pixel is ink where the plane's coverage,
// upsampled smoothly (Catmull-Rom), is half or more. Edges come out smooth and corners sharp; a stroke one source
// pixel wide keeps its width.
//
// Only where the sixteen source pixels round a place differ is anything computed; the rest is bare or solid as they
// are. A Contour keeps state between rows: each goroutine needs its own.
type Contour struct {
	plane        *Plane
	across, down Axis
	at           int     // the source row the runs below were made for, -1 none
	all, any     []uint8 // the four rows' AND and OR, column by column
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
	c.all, c.any = make([]uint8, plane.Width+8), make([]uint8, plane.Width+8)
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
		if c.any[a]|c.any[b]|c.any[d]|c.any[e] == 0 {
			kind = runBare
		} else if c.all[a]&c.all[b]&c.all[d]&c.all[e] == 255 {
			kind = runSolid
		}
		if k := len(c.runs) - 1; k >= 0 && c.runs[k].kind == kind {
			c.runs[k].to = to
		} else {
			c.runs = append(c.runs, contourRun{kind, from, to})
		}
	}
}

// combine takes AND and OR of four rows, eight columns at a time.
func (c *Contour) combine(rows [4][]uint8) {
	n := c.plane.Width
	x := 0
	for ; x+8 <= n; x += 8 {
		p, q := binary.LittleEndian.Uint64(rows[0][x:]), binary.LittleEndian.Uint64(rows[1][x:])
		r, s := binary.LittleEndian.Uint64(rows[2][x:]), binary.LittleEndian.Uint64(rows[3][x:])
		binary.LittleEndian.PutUint64(c.all[x:], p&q&r&s)
		binary.LittleEndian.PutUint64(c.any[x:], p|q|r|s)
	}
	for ; x < n; x++ {
		c.all[x] = rows[0][x] & rows[1][x] & rows[2][x] & rows[3][x]
		c.any[x] = rows[0][x] | rows[1][x] | rows[2][x] | rows[3][x]
	}
}

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
