package raster

import "encoding/binary"

// segment is a piece of a shape's outline, between pixel centres: pixel (0, 0) has its centre at 0, 0.
type segment struct{ ax, ay, bx, by float64 }

// outline calls f with the pieces of the shape's outline that lie between rows y and y+1 of p: in every square of four
// pixel centres it runs straight between the places where it crosses the square's sides. Where opposite corners alone
// are inside, they are taken for apart.
//
// An edge drawn with exact coverage, at any angle, is found within 0.03 px of where it is (see the tests of Depth).
func outline(p *Plane, y int, f func(s segment)) {
	top, bottom := p.Row(y), p.Row(y+1)
	for x := 0; x+1 < p.Width; x++ {
		if x+8 < p.Width && alike(top, bottom, x) {
			x += 7
			continue
		}
		square(p, x, y, f)
	}
}

// alike tells whether the nine pixels from x on are all inside, or all outside, in both rows.
func alike(top, bottom []uint8, x int) bool {
	a, b := binary.LittleEndian.Uint64(top[x:])&highBits, binary.LittleEndian.Uint64(bottom[x:])&highBits
	all := uint64(0)
	if top[x]&128 != 0 {
		all = highBits
	}
	return a == all && b == all && uint64(top[x+8]&128) == all>>56 && uint64(bottom[x+8]&128) == all>>56
}

// square gives the outline's pieces between four pixel centres, the first at x, y.
func square(p *Plane, x, y int, f func(s segment)) {
	i := y*p.Width + x
	kind := p.Pix[i]>>7 | p.Pix[i+1]>>7<<1 | p.Pix[i+p.Width+1]>>7<<2 | p.Pix[i+p.Width]>>7<<3 // clockwise
	if kind == 0 || kind == 15 {
		return
	}
	u, v := float64(x), float64(y)
	north, south := [2]float64{u + p.crossingX(x, y), v}, [2]float64{u + p.crossingX(x, y+1), v + 1}
	west, east := [2]float64{u, v + p.crossingY(x, y)}, [2]float64{u + 1, v + p.crossingY(x+1, y)}
	join := func(p, q [2]float64) { f(segment{p[0], p[1], q[0], q[1]}) }
	switch kind {
	case 1, 14:
		join(west, north)
	case 2, 13:
		join(north, east)
	case 4, 11:
		join(east, south)
	case 8, 7:
		join(south, west)
	case 3, 12:
		join(west, east)
	case 6, 9:
		join(north, south)
	case 5:
		join(west, north)
		join(east, south)
	case 10:
		join(north, east)
		join(south, west)
	}
}

// crossingX is how far from the centre of pixel x, y to that of its right neighbour the outline crosses.
func (p *Plane) crossingX(x, y int) float64 {
	row := p.Row(y)
	return crossing(row[max(x-1, 0)], row[x], row[x+1], row[min(x+2, p.Width-1)])
}

// crossingY is the same down to the neighbour below.
func (p *Plane) crossingY(x, y int) float64 {
	i := y*p.Width + x
	return crossing(p.Pix[max(y-1, 0)*p.Width+x], p.Pix[i], p.Pix[i+p.Width], p.Pix[min(y+2, p.Height-1)*p.Width+x])
}

// crossing is how far from a to b an edge lies, 0..1, given the tones before a and after b; 0 where a and b lie on one
// side.
//
// Ours: coverage is area, so an edge ends where the tones along the way add up to, whatever its angle: exact for a
// straight one no more than two pixels from the next, where reading half tone off a line from a to b is up to 0.09 px
// out. A stroke's other side takes no part: tones that fall off the wrong way count as solid or bare.
func crossing(before, a, b, after uint8) float64 {
	if a>>7 == b>>7 {
		return 0
	}
	if a < b {
		return 1 - crossing(after, b, a, before)
	}
	if before < a {
		before = 255
	}
	if after > b {
		after = 0
	}
	sum := int(before) + int(a) + int(b) + int(after)
	return min(max(float64(2*sum-3*255)/510, 0), 1)
}
