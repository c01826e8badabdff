package halftone

import "math"

// The bounds a supercell must keep: no eye and no mesh tells a screen within them from the one asked for.
// TestRulingAndAngleKeepTheirBounds measures them.
const (
	maxRulingError   = 0.001 // of the ruling
	maxAngleErrorDeg = 0.02
)

// maxSupercellPX bounds a supercell's area in device pixels: 2 bytes each for the thresholds and 4 for the ranks.
// Random roundings keep the bounds long before it (the largest of the test's grid has 1.3 million).
const maxSupercellPX = 6 << 20

// supercell is a parallelogram of whole device pixels that holds cells x cells halftone cells exactly: ax, ay and
// bx, by are its sides in pixels, y down. Laid side by side it covers the film.
type supercell struct {
	cells          int
	ax, ay, bx, by int
}

// area is the number of device pixels.
func (c supercell) area() int { return abs(c.ax*c.by - c.ay*c.bx) }

// findSupercell grows the supercell until ruling and angle of both its directions keep their bounds; least is the
// least number of cells a side. Where none within maxSupercellPX does, the best seen.
func findSupercell(s Spec, least int) supercell {
	var best supercell
	bestError := math.Inf(1)
	for n := least; ; n++ {
		c := roundedSupercell(s, n)
		area := c.area()
		if area > maxSupercellPX && bestError < math.Inf(1) {
			return best
		}
		if area == 0 {
			continue
		}
		if e := c.deviation(s); e < bestError {
			best, bestError = c, e
		}
		if bestError <= 1 {
			return best
		}
	}
}

// roundedSupercell takes n cells each way along the true directions and rounds the corners to whole pixels.
func roundedSupercell(s Spec, n int) supercell {
	sin, cos := math.Sincos(s.AngleDeg * math.Pi / 180)
	x, y := float64(n)*s.XDPI/s.FreqLPI, float64(n)*s.YDPI/s.FreqLPI
	return supercell{cells: n,
		ax: int(math.Round(x * cos)), ay: -int(math.Round(y * sin)),
		bx: -int(math.Round(x * sin)), by: -int(math.Round(y * cos))}
}

// frequencies gives the two frequency vectors of the cell grid in lines per inch, y up: the reciprocal of the cell's
// sides. The ruling is the length of the first, the screen angle its direction.
func (c supercell) frequencies(s Spec) (f1, f2 [2]float64) {
	n := float64(c.cells)
	ax, ay := float64(c.ax)/s.XDPI/n, -float64(c.ay)/s.YDPI/n
	bx, by := float64(c.bx)/s.XDPI/n, -float64(c.by)/s.YDPI/n
	det := ax*by - ay*bx
	return [2]float64{by / det, -bx / det}, [2]float64{-ay / det, ax / det}
}

// deviation is the worst error of ruling or angle in units of its bound: 1 or less is good.
func (c supercell) deviation(s Spec) float64 {
	f1, f2 := c.frequencies(s)
	worst := 0.0
	for i, f := range [][2]float64{f1, f2} {
		ruling := math.Abs(math.Hypot(f[0], f[1])/s.FreqLPI-1) / maxRulingError
		turn := math.Atan2(f[1], f[0])*180/math.Pi - s.AngleDeg - float64(i)*90
		worst = max(worst, ruling, math.Abs(math.Remainder(turn, 360))/maxAngleErrorDeg)
	}
	return worst
}

// place gives where the centre of device pixel (x, y) lies: which cell of the supercell (i, j in 0..cells-1) and where
// in it (u, v in -1..1), exactly: integers up to the last division.
func (c supercell) place(x, y int) (i, j int, u, v float64) {
	det := c.ax*c.by - c.ay*c.bx
	p := (2*x+1)*c.by - (2*y+1)*c.bx
	q := (2*y+1)*c.ax - (2*x+1)*c.ay
	if det < 0 {
		det, p, q = -det, -p, -q
	}
	p, q = mod(p*c.cells, 2*det*c.cells), mod(q*c.cells, 2*det*c.cells)
	i, j = p/(2*det), q/(2*det)
	u = float64(p%(2*det)-det) / float64(det)
	v = float64(q%(2*det)-det) / float64(det)
	return i, j, u, v
}

// strip is the supercell unrolled: rows of width entries that, shifted by shift from one run of rows to the next,
// cover the film.
type strip struct{ width, rows, shift int }

// unroll finds the strip of a supercell. Source: T. M. Holladay, Proc. SID 21 (1980) 185-192.
func (c supercell) unroll() strip {
	g, p, q := extendedGCD(c.ay, c.by)
	width := c.area() / g
	return strip{width: width, rows: g, shift: mod(p*c.ax+q*c.bx, width)}
}

// column is where film row y starts in its strip row, for film column 0.
func (s strip) column(y int) int { return mod(-(y/s.rows)*s.shift, s.width) }

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

func abs(a int) int {
	if a < 0 {
		return -a
	}
	return a
}
