package draw

import (
	"math"
	"slices"
)

// pt is a point or a vector in pixels, x to the right, y down.
type pt struct{ x, y float64 }

func (a pt) add(b pt) pt             { return pt{a.x + b.x, a.y + b.y} }
func (a pt) sub(b pt) pt             { return pt{a.x - b.x, a.y - b.y} }
func (a pt) mul(k float64) pt        { return pt{a.x * k, a.y * k} }
func (a pt) size() float64           { return math.Hypot(a.x, a.y) }
func (a pt) lerp(b pt, t float64) pt { return a.add(b.sub(a).mul(t)) }

// turned gives a turned by angle radians, clockwise as seen, since y runs down.
func (a pt) turned(angle float64) pt {
	s, c := math.Sincos(angle)
	return pt{a.x*c - a.y*s, a.x*s + a.y*c}
}

// polar gives the point r from centre at angle radians, clockwise from the right.
func polar(centre pt, r, angle float64) pt { return centre.add(pt{r, 0}.turned(angle)) }

// shape is a filled figure: closed polygons, non-zero winding. Curves are flattened when they are made.
type shape [][]pt

// chordPX is the longest chord of a flattened curve: at this length a circle of 200 px strays 0.04 px from the truth.
const chordPX = 8

func steps(length float64) int { return max(6, int(math.Ceil(length/chordPX))) }

func circle(centre pt, r float64) shape { return ellipse(centre, r, r, 0) }

func ellipse(centre pt, rx, ry, angle float64) shape {
	return shape{arc(centre, rx, ry, 0, 2*math.Pi, angle)}
}

// arc gives the open line along an ellipse from angle a0 to a1, the ellipse itself turned by turn.
func arc(centre pt, rx, ry, a0, a1, turn float64) []pt {
	n := steps(math.Max(rx, ry)*math.Abs(a1-a0)) + 6
	line := make([]pt, n+1)
	for i := range line {
		s, c := math.Sincos(a0 + (a1-a0)*float64(i)/float64(n))
		line[i] = centre.add(pt{rx * c, ry * s}.turned(turn))
	}
	return line
}

// ring is the area between two circles.
func ring(centre pt, inner, outer float64) shape {
	in := circle(centre, inner)[0]
	slices.Reverse(in)
	return shape{circle(centre, outer)[0], in}
}

// polygon gives n corners on a circle, the first at angle radians.
func polygon(centre pt, r float64, n int, angle float64) []pt {
	line := make([]pt, n)
	for i := range line {
		line[i] = polar(centre, r, angle+2*math.Pi*float64(i)/float64(n))
	}
	return line
}

// bezier gives the open line along a cubic, both ends included.
func bezier(a, b, c, d pt) []pt {
	n := steps(b.sub(a).size() + c.sub(b).size() + d.sub(c).size())
	line := make([]pt, n+1)
	for i := range line {
		t := float64(i) / float64(n)
		ab, bc, cd := a.lerp(b, t), b.lerp(c, t), c.lerp(d, t)
		line[i] = ab.lerp(bc, t).lerp(bc.lerp(cd, t), t)
	}
	return line
}

// smooth gives the open line that passes through knots (Catmull-Rom, uniform).
func smooth(knots ...pt) []pt {
	at := func(i int) pt { return knots[min(max(i, 0), len(knots)-1)] }
	line := []pt{knots[0]}
	for i := range len(knots) - 1 {
		line = append(line, span(at(i-1), at(i), at(i+1), at(i+2))[1:]...)
	}
	return line
}

// smoothLoop gives the closed line that passes through knots; the first point is not repeated.
func smoothLoop(knots ...pt) []pt {
	n := len(knots)
	var line []pt
	for i := range n {
		line = append(line, span(knots[(i+n-1)%n], knots[i], knots[(i+1)%n], knots[(i+2)%n])[1:]...)
	}
	return line
}

func span(before, a, b, after pt) []pt {
	return bezier(a, a.add(b.sub(before).mul(1.0/6)), b.sub(after.sub(a).mul(1.0/6)), b)
}

// moved gives every point of s through f.
func (s shape) moved(f func(pt) pt) shape {
	out := make(shape, len(s))
	for i, line := range s {
		out[i] = make([]pt, len(line))
		for k, p := range line {
			out[i][k] = f(p)
		}
	}
	return out
}

// placed gives s scaled about the origin, turned and set down at.
func (s shape) placed(at pt, scale, angle float64) shape {
	return s.moved(func(p pt) pt { return p.mul(scale).turned(angle).add(at) })
}

// mirrored gives s with left and right swapped about the upright at x, wound as before.
func (s shape) mirrored(x float64) shape {
	out := s.moved(func(p pt) pt { return pt{2*x - p.x, p.y} })
	for _, line := range out {
		slices.Reverse(line)
	}
	return out
}

// dense gives s with every edge cut into chords, so that it can be bent.
func (s shape) dense() shape {
	out := make(shape, len(s))
	for i, line := range s {
		for k, a := range line {
			b := line[(k+1)%len(line)]
			n := int(math.Ceil(b.sub(a).size()/chordPX)) + 1
			for j := range n {
				out[i] = append(out[i], a.lerp(b, float64(j)/float64(n)))
			}
		}
	}
	return out
}

// area is the signed area of a closed line, positive when it runs clockwise as seen.
func area(line []pt) float64 {
	sum := 0.0
	for i, a := range line {
		b := line[(i+1)%len(line)]
		sum += a.x*b.y - b.x*a.y
	}
	return sum / 2
}

// reversed gives line run the other way: as an inner contour it is a hole.
func reversed(line []pt) []pt {
	out := slices.Clone(line)
	slices.Reverse(out)
	return out
}
