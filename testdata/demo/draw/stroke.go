package draw

import "math"

// stroke gives the area of a pen that runs along line, widthPX wide, with round ends and corners.
func stroke(line []pt, widthPX float64) shape {
	return brush(line, func(float64) float64 { return widthPX })
}

// taper gives a stroke that goes from w0 to w1 pixels wide.
func taper(line []pt, w0, w1 float64) shape {
	return brush(line, func(t float64) float64 { return w0 + (w1-w0)*t })
}

// swell gives a stroke that is widest in its middle and ends in points.
func swell(line []pt, widthPX float64) shape {
	return brush(line, func(t float64) float64 { return 1 + (widthPX-1)*math.Sin(math.Pi*t) })
}

// brush gives the area of a pen whose width in pixels is width(t), t from 0 to 1 along line.
func brush(line []pt, width func(t float64) float64) shape {
	return newPen(line, false, width).area()
}

// outline gives the closed pen lines along every contour of s.
func outline(s shape, widthPX float64) shape {
	var out shape
	for _, line := range s {
		loop := append(append([]pt{}, line...), line[0])
		out = append(out, newPen(loop, true, func(float64) float64 { return widthPX }).area()...)
	}
	return out
}

// pen is a line with half its width at every point. A closed one ends on its first point.
//
// Its area is a pile of pieces all wound the same way: ribbons along gentle bends, pies at corners and ends. Pieces
// meet on shared edges and overlap only on the inside of a corner; overlaps elsewhere would add up partial coverage and
// leave bumps along the edge.
type pen struct {
	line   []pt
	half   []float64
	closed bool
}

func newPen(line []pt, closed bool, width func(t float64) float64) *pen {
	p := &pen{closed: closed}
	length := 0.0
	for i := range len(line) - 1 {
		length += line[i+1].sub(line[i]).size()
	}
	along := 0.0
	for i, at := range line {
		step := 0.0
		if i > 0 {
			step = at.sub(line[i-1]).size()
		}
		if along += step; i > 0 && step < 1e-6*length {
			continue
		}
		p.line = append(p.line, at)
		p.half = append(p.half, width(along/length)/2)
	}
	return p
}

func (p *pen) area() shape {
	last := len(p.line) - 1
	var out shape
	from := 0
	for i := 1; i <= last; i++ {
		if i < last && !p.corner(i) {
			continue
		}
		out = append(out, p.ribbon(from, i))
		if i < last {
			out = append(out, p.wedge(i))
		}
		from = i
	}
	switch {
	case !p.closed:
		start, end := across(p.after(0)), across(p.before(last)).mul(-1)
		out = append(out, pie(p.line[0], p.half[0], start, math.Pi), pie(p.line[last], p.half[last], end, math.Pi))
	case p.corner(0):
		out = append(out, p.wedge(0))
	}
	return out
}

// before and after give the piece of line that comes to point i and the one that leaves it; a closed line runs on.
func (p *pen) before(i int) pt {
	if i == 0 {
		i = len(p.line) - 1
	}
	return p.line[i].sub(p.line[i-1])
}

func (p *pen) after(i int) pt {
	if i == len(p.line)-1 {
		i = 0
	}
	return p.line[i+1].sub(p.line[i])
}

func (p *pen) turn(i int) float64 {
	u, v := p.before(i), p.after(i)
	return math.Atan2(u.x*v.y-u.y*v.x, u.x*v.x+u.y*v.y)
}

// corner says whether the line bends too sharply at point i for a ribbon: by more than 0.35 rad, or so tightly that the
// ribbon's inner edge would fold over. Only inner points and those of closed lines may be asked.
func (p *pen) corner(i int) bool {
	bend := math.Abs(p.turn(i))
	room := 0.5 * min(p.before(i).size(), p.after(i).size())
	return bend > 0.35 || p.half[i]*math.Tan(bend/2) > room
}

// ribbon is the area along points from to to, its sides mitred at every bend between.
func (p *pen) ribbon(from, to int) []pt {
	n := to - from + 1
	line := make([]pt, 2*n)
	for k := range n {
		side := p.side(from+k, from, to)
		line[k] = p.line[from+k].add(side)
		line[2*n-1-k] = p.line[from+k].sub(side)
	}
	return clockwise(line)
}

// side gives the vector from point i of the ribbon from..to to its right edge.
func (p *pen) side(i, from, to int) pt {
	runsOn := p.closed && (i == 0 || i == len(p.line)-1) && !p.corner(i)
	switch {
	case i == from && !runsOn:
		return across(p.after(i)).mul(p.half[i])
	case i == to && !runsOn:
		return across(p.before(i)).mul(p.half[i])
	}
	a, b := across(p.before(i)), across(p.after(i))
	return a.add(b).mul(p.half[i] / (1 + a.x*b.x + a.y*b.y))
}

// across is the unit vector to the right of d.
func across(d pt) pt { return pt{-d.y, d.x}.mul(1 / d.size()) }

// wedge fills the outside of the corner at point i.
func (p *pen) wedge(i int) []pt {
	turn, side := p.turn(i), across(p.before(i))
	if turn > 0 {
		side = side.mul(-1)
	}
	return pie(p.line[i], p.half[i], side, turn)
}

// pie is a slice of a disc, from the direction start through angle radians.
func pie(centre pt, r float64, start pt, angle float64) []pt {
	n := max(2, int(math.Ceil(math.Abs(angle)*max(r, 6)/2.5)))
	line := []pt{centre}
	for i := range n + 1 {
		line = append(line, centre.add(start.turned(angle*float64(i)/float64(n)).mul(r)))
	}
	return clockwise(line)
}

func clockwise(line []pt) []pt {
	if area(line) < 0 {
		return reversed(line)
	}
	return line
}
