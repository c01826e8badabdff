package artwork

import "tamis/pkg/color"

// widths counts runs or specks of one kind by their thickness: the thinnest in quarter pixels, 0 none, and how many
// there are by whole pixels.
type widths struct {
	thinnest int
	counts   [lineMostPX + 2]int
}

func (w *widths) take(width16 int) {
	w.thinnest = smaller(w.thinnest, min(max(width16/4, 1), 4*lineMostPX))
	w.counts[min(width16/16, lineMostPX)]++
}

func (w *widths) add(v *widths) {
	w.thinnest = smaller(w.thinnest, v.thinnest)
	for i, n := range v.counts {
		w.counts[i] += n
	}
}

// near is how many are hardly thicker than the thinnest: up to the next whole pixel.
func (w *widths) near() int {
	n := 0
	for _, k := range w.counts[:w.thinnest/4+1] {
		n += k
	}
	return n
}

// smaller is the smaller of two widths of which 0 is none.
func smaller(a, b int) int {
	if a == 0 || b != 0 && b < a {
		return b
	}
	return a
}

// cellLines is what one cell of an overview has of lines and specks of one kind.
type cellLines struct {
	lines, specks widths
	rgb           [3]uint64
	n             uint64
}

func (c *cellLines) take(m mark, p []uint8) {
	if m.speck {
		c.specks.take(m.width16)
	} else {
		c.lines.take(m.width16)
	}
	c.n++
	for i := range 3 {
		c.rgb[i] += uint64(p[i])
	}
}

func (c *cellLines) add(d *cellLines) {
	c.lines.add(&d.lines)
	c.specks.add(&d.specks)
	c.n += d.n
	for i := range 3 {
		c.rgb[i] += d.rgb[i]
	}
}

// bytes is what an overview keeps.
func (c *cellLines) bytes() []byte {
	rgb := c.color()
	return []byte{byte(c.lines.thinnest), byte(min(c.lines.near(), 255)), rgb.R, rgb.G, rgb.B,
		byte(c.specks.thinnest), byte(min(c.specks.near(), 255))}
}

func (c *cellLines) color() color.RGB8 {
	n := max(c.n, 1)
	return color.RGB8{R: uint8(c.rgb[0] / n), G: uint8(c.rgb[1] / n), B: uint8(c.rgb[2] / n)}
}

// lineTally is what one worker counted: for each cell of the overview, each kind.
type lineTally struct {
	img   *Image
	grid  *Overview
	cells [][LineKinds]cellLines
}

func newLineTally(img *Image, grid *Overview) *lineTally {
	return &lineTally{img, grid, make([][LineKinds]cellLines, grid.Cells())}
}

func (t *lineTally) take(m mark) {
	t.cells[t.grid.At(m.x, m.y, t.img.Width, t.img.Height)][m.kind].take(m, t.img.Pix[4*(m.y*t.img.Width+m.x):])
}

func (t *lineTally) add(u *lineTally) {
	for i := range t.cells {
		for k := range t.cells[i] {
			if u.cells[i][k].n > 0 {
				t.cells[i][k].add(&u.cells[i][k])
			}
		}
	}
}
