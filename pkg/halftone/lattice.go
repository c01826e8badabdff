package halftone

// lattice is a grid of whole numbers spanned by two vectors, seen as a strip: every point is equivalent to exactly one
// of rows x width, and going past the strip's last row comes back at its first, shift columns further.
//
// Source: T. M. Holladay, Proc. SID 21 (1980) 185-192.
type lattice struct{ width, rows, shift int }

// newLattice finds the strip of the lattice spanned by (ax, ay) and (bx, by), which must not be parallel.
func newLattice(ax, ay, bx, by int) lattice {
	g, p, q := extendedGCD(ay, by)
	width := abs(ax*by-ay*bx) / g
	return lattice{width: width, rows: g, shift: mod(p*ax+q*bx, width)}
}

// size is the number of points that are not equivalent.
func (l lattice) size() int { return l.width * l.rows }

// column is where row y, counted without end either way, starts in its strip row.
func (l lattice) column(y int) int {
	return mod(-floorDiv(y, l.rows)*l.shift, l.width)
}

// index is the place of point (x, y) in the strip, row by row.
func (l lattice) index(x, y int) int {
	return mod(y, l.rows)*l.width + mod(x+l.column(y), l.width)
}

// A point of a lattice that moves to its neighbours without a division.
type point struct {
	lattice
	x, y int // in the strip
}

func (l lattice) point(x, y int) point { return point{l, mod(x+l.column(y), l.width), mod(y, l.rows)} }

// index is the point's place in the strip, as the lattice's index gives it.
func (p *point) index() int { return p.y*p.width + p.x }

// move goes dx columns and dy rows on, each -1, 0 or 1.
func (p *point) move(dx, dy int) {
	p.y += dy
	switch {
	case p.y == p.rows:
		p.y, dx = 0, dx-p.shift
	case p.y < 0:
		p.y, dx = p.rows-1, dx+p.shift
	}
	p.x += dx
	switch {
	case p.x >= p.width:
		p.x -= p.width
	case p.x < 0:
		p.x += p.width
	}
}

// extendedGCD gives g = gcd(a, b) > 0 and p, q with p*a + q*b = g.
func extendedGCD(a, b int) (g, p, q int) {
	p0, q0, p1, q1 := 1, 0, 0, 1
	for b != 0 {
		k := a / b
		a, b = b, a-k*b
		p0, p1 = p1, p0-k*p1
		q0, q1 = q1, q0-k*q1
	}
	if a < 0 {
		return -a, -p0, -q0
	}
	return a, p0, q0
}

// mod is a modulo m, 0..m-1 for negative a too.
func mod(a, m int) int {
	if a %= m; a < 0 {
		a += m
	}
	return a
}

// floorDiv is a/m rounded down, m positive.
func floorDiv(a, m int) int { return (a - mod(a, m)) / m }

func abs(a int) int {
	if a < 0 {
		return -a
	}
	return a
}
