package film

import (
	"math"
	"slices"

	"tamis/pkg/raster"
)

// path is an outline of closed contours in device pixels, kept to 1/256, so that what it fills is decided by whole
// numbers. Points are given in millimetres on the page.
type path struct {
	perMM   [2]float64
	contour []point
	edges   []edge
}

type point struct{ x, y int64 } // 1/256 of a device pixel

// edge is a straight piece, its ends in rising y; down is 1 where it was drawn so, else -1.
type edge struct {
	from, to point
	down     int
}

func (p *path) at(xMM, yMM float64) point {
	return point{int64(math.Round(xMM * p.perMM[0] * 256)), int64(math.Round(yMM * p.perMM[1] * 256))}
}

// move ends the contour and starts another.
func (p *path) move(xMM, yMM float64) {
	p.close()
	p.contour = append(p.contour[:0], p.at(xMM, yMM))
}

func (p *path) line(xMM, yMM float64) { p.contour = append(p.contour, p.at(xMM, yMM)) }

// quad draws a parabola by its control point, as 12 straight pieces: on a glyph 5 mm high they leave the curve by less
// than a micrometre.
func (p *path) quad(cxMM, cyMM, xMM, yMM float64) {
	const n = 12
	a, c, b := p.contour[len(p.contour)-1], p.at(cxMM, cyMM), p.at(xMM, yMM)
	for k := int64(1); k <= n; k++ {
		wa, wc, wb := (n-k)*(n-k), 2*k*(n-k), k*k
		p.contour = append(p.contour, point{(a.x*wa + c.x*wc + b.x*wb) / (n * n), (a.y*wa + c.y*wc + b.y*wb) / (n * n)})
	}
}

// ring draws a circle's line, widthMM wide.
func (p *path) ring(xMM, yMM, radiusMM, widthMM float64) {
	const sides = 96
	for _, r := range [2]float64{radiusMM + widthMM/2, -(radiusMM - widthMM/2)} { // the inner one the other way round
		for i := range sides {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
			x, y := xMM+math.Abs(r)*cos, yMM+r*sin
			if i == 0 {
				p.move(x, y)
			} else {
				p.line(x, y)
			}
		}
	}
}

// close turns the contour into edges.
func (p *path) close() {
	for i, a := range p.contour {
		b := p.contour[(i+1)%len(p.contour)]
		switch {
		case a.y < b.y:
			p.edges = append(p.edges, edge{a, b, 1})
		case a.y > b.y:
			p.edges = append(p.edges, edge{b, a, -1})
		}
	}
	p.contour = p.contour[:0]
}

// fill inks every pixel whose centre the outline goes round (non-zero winding), in a bitmap whose first pixel is
// (x0, y0) of the page, and empties the path.
func (p *path) fill(b *raster.Bitmap, x0, y0 int) {
	p.close()
	slices.SortStableFunc(p.edges, func(a, b edge) int { return int(a.from.y - b.from.y) })
	var live []edge
	var cuts []cut
	next := 0
	for y := range b.Height {
		centre := int64(y+y0)*256 + 128
		for ; next < len(p.edges) && p.edges[next].from.y <= centre; next++ {
			live = append(live, p.edges[next])
		}
		live = slices.DeleteFunc(live, func(e edge) bool { return e.to.y <= centre })
		cuts = crossings(cuts[:0], live, centre)
		fillRow(b.Row(y), cuts, x0, b.Width)
	}
	p.edges = p.edges[:0]
}

// cut is where an edge crosses a row, and which way.
type cut struct {
	x    int64
	down int
}

func crossings(cuts []cut, live []edge, y int64) []cut {
	for _, e := range live {
		x := e.from.x + (e.to.x-e.from.x)*(y-e.from.y)/(e.to.y-e.from.y)
		cuts = append(cuts, cut{x, e.down})
	}
	slices.SortFunc(cuts, func(a, b cut) int { return int(a.x - b.x) })
	return cuts
}

// fillRow inks what lies between the cuts.
func fillRow(row []uint64, cuts []cut, x0, width int) {
	winding := 0
	for i, c := range cuts {
		if winding != 0 {
			from, to := firstCentre(cuts[i-1].x)-x0, firstCentre(c.x)-x0
			raster.FillBits(row, max(from, 0), min(to, width))
		}
		winding += c.down
	}
}

// firstCentre is the first pixel whose centre lies at x or to the right of it.
func firstCentre(x int64) int { return int((x + 127) >> 8) }
