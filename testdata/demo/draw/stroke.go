package draw

import (
	"math"
	"slices"
)

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

// outline gives the closed pen lines along every contour of s.
func outline(s shape, widthPX float64) shape {
	var out shape
	for _, line := range s {
		closed := append(slices.Clone(line), line[0], line[1])
		out = append(out, stroke(closed, widthPX)...)
	}
	return out
}

// brush gives the area of a pen whose width in pixels is width(t), t from 0 to 1 along line.
//
// It is a pile of pieces all wound the same way, which non-zero winding joins: a ribbon that is one polygon would cancel
// itself on the inside of a bend.
func brush(line []pt, width func(t float64) float64) shape {
	var out shape
	along, length := 0.0, lengthOf(line)
	for i := range len(line) - 1 {
		a, b := line[i], line[i+1]
		d := b.sub(a)
		if d.size() < 1e-9 {
			continue
		}
		wa := width(along / length)
		along += d.size()
		wb := width(along / length)
		n := pt{-d.y, d.x}.mul(0.5 / d.size())
		out = append(out, clockwise([]pt{a.add(n.mul(wa)), b.add(n.mul(wb)), b.sub(n.mul(wb)), a.sub(n.mul(wa))}))
		if i == 0 || sharp(line[max(i-1, 0)], a, b) {
			out = append(out, dot(a, wa/2))
		} else {
			out = append(out, bevels(line[i-1], a, n, wa)...)
		}
	}
	return append(out, dot(line[len(line)-1], width(1)/2))
}

func lengthOf(line []pt) float64 {
	sum := 0.0
	for i := range len(line) - 1 {
		sum += line[i+1].sub(line[i]).size()
	}
	return sum
}

// sharp says whether the line bends by more than 0.35 rad at b, where a bevel would be seen.
func sharp(a, b, c pt) bool {
	u, v := b.sub(a), c.sub(b)
	return math.Abs(math.Atan2(u.x*v.y-u.y*v.x, u.x*v.x+u.y*v.y)) > 0.35
}

// bevels fills the two wedges between the piece that ends at corner and the one that leaves it with half normal n.
func bevels(before, corner, n pt, w float64) shape {
	d := corner.sub(before)
	if d.size() < 1e-9 {
		return nil
	}
	m := pt{-d.y, d.x}.mul(0.5 / d.size())
	return shape{
		clockwise([]pt{corner, corner.add(m.mul(w)), corner.add(n.mul(w))}),
		clockwise([]pt{corner, corner.sub(m.mul(w)), corner.sub(n.mul(w))}),
	}
}

func dot(centre pt, r float64) []pt {
	return polygon(centre, r, max(14, int(math.Ceil(2*math.Pi*r/2.5))), 0)
}

func clockwise(line []pt) []pt {
	if area(line) < 0 {
		slices.Reverse(line)
	}
	return line
}
