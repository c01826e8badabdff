package halftone

import "math"

// A walk goes along a row of device pixels from one cell of the screen to the next, in whole numbers and without a
// division a pixel.
type walk struct{ i, j ruler }

// ruler is where a walk stands along one of the screen's two directions.
type ruler struct {
	cell   int // it stands in
	within int // how far in, 0..size-1
	size   int // of a cell, even
	step   int // from one pixel to the next, less than size either way
	left   int // pixels, this one among them, until the cell ends
}

// walk starts at the centre of pixel (0, y), exactly, in units of which a cell has 2 det each way. Every cell may begin
// so many units earlier than the film's origin has it.
func (c supercell) walk(y, earlier int) walk {
	// In supercells the centre is (p, q) / (2 det); in cells that times the matrix of cells.
	det := c.a.x*c.b.y - c.a.y*c.b.x
	p, q := c.b.y-(2*y+1)*c.b.x, (2*y+1)*c.a.x-c.a.y
	stepP, stepQ := 2*c.b.y, -2*c.a.y
	if det < 0 {
		det, p, q, stepP, stepQ = -det, -p, -q, -stepP, -stepQ
	}
	return walk{
		newRuler(p*c.a.i+q*c.b.i+earlier, stepP*c.a.i+stepQ*c.b.i, 2*det),
		newRuler(p*c.a.j+q*c.b.j+earlier, stepP*c.a.j+stepQ*c.b.j, 2*det),
	}
}

func newRuler(at, step, size int) ruler {
	r := ruler{cell: floorDiv(at, size), within: mod(at, size), size: size, step: step}
	r.measure()
	return r
}

// measure finds the pixels left in the cell.
func (r *ruler) measure() {
	switch {
	case r.step > 0:
		r.left = (r.size - r.within + r.step - 1) / r.step
	case r.step < 0:
		r.left = r.within/-r.step + 1
	default:
		r.left = math.MaxInt
	}
}

// left is the number of pixels, this one among them, that lie in this cell.
func (w *walk) left() int { return min(w.i.left, w.j.left) }

// place gives where in its cell the walk stands, -1..1 along both directions: rounded once, at the division.
func (w *walk) place() (u, v float64) { return w.i.place(), w.j.place() }

func (r *ruler) place() float64 { return float64(r.within-r.size/2) / float64(r.size/2) }

// move goes n pixels on, left() at the most, and tells by how many cells that went along the two directions.
func (w *walk) move(n int) (di, dj int) { return w.i.move(n), w.j.move(n) }

func (r *ruler) move(n int) int {
	r.within += n * r.step
	if r.left -= n; r.left > 0 {
		return 0
	}
	turn := 1
	if r.step < 0 {
		turn = -1
	}
	r.cell += turn
	r.within -= turn * r.size
	r.measure()
	return turn
}

// eachStretch gives every stretch of a strip's entries that lies in one cell of a walk: its first entry, how many follow
// one another, and which of the cells it is, by its place in their strip.
func (c supercell) eachStretch(strip lattice, earlier int, cells lattice, use func(at, n, cell int)) {
	for y := range strip.rows {
		w := c.walk(y, earlier)
		cell := cells.point(w.i.cell, w.j.cell)
		for x := 0; x < strip.width; {
			n := min(w.left(), strip.width-x)
			use(y*strip.width+x, n, cell.index())
			cell.move(w.move(n))
			x += n
		}
	}
}

// mostStretches is how many stretches there are at the most in a row of so many pixels.
func (c supercell) mostStretches(width int) int {
	w := c.walk(0, 0)
	return (width*abs(w.i.step)+width*abs(w.j.step))/w.i.size + 3
}
