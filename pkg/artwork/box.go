package artwork

// Box is a rectangle of pixels [x0, y0, x1, y1], x1 and y1 outside. The zero Box is none.
type Box [4]int

// Area is the number of pixels in the box.
func (b Box) Area() int { return (b[2] - b[0]) * (b[3] - b[1]) }

// union is the smallest box about both; none adds nothing.
func (b Box) union(c Box) Box {
	switch {
	case b == Box{}:
		return c
	case c == Box{}:
		return b
	}
	return Box{min(b[0], c[0]), min(b[1], c[1]), max(b[2], c[2]), max(b[3], c[3])}
}
