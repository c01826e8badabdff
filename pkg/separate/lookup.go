package separate

import "tamis/pkg/color"

// lookup is a table made ready for pixels: whole numbers, two inks a word.
//
// A node's coverage is scaled to 0..65280 (255 x 256), 16 bits in each 32-bit half of a word; four weights that sum to
// 256 bring a half to at most 24 bits, so halves never meet.
type lookup struct {
	inks, words int
	cell        [3][256]uint32 // offset in words of the cell's low corner along the axis
	frac        [3][256]uint32 // position within the cell, 0..256
	stride      [3]int         // words to the next node along the axis
	node        []uint64
}

func newLookup(t *table) *lookup {
	l := &lookup{inks: t.inks, words: (t.inks + 1) / 2}
	l.stride = [3]int{nodes * nodes * l.words, nodes * l.words, l.words}
	for axis := range 3 {
		l.fillAxis(axis, t.knots[axis])
	}
	l.node = make([]uint64, nodes*nodes*nodes*l.words)
	for i := range nodes * nodes * nodes {
		for k, v := range t.node(i) {
			scaled := uint64(float64(v*65280) + 0.5)
			l.node[i*l.words+k/2] |= scaled << (32 * (k % 2))
		}
	}
	return l
}

func (l *lookup) fillAxis(axis int, knots [nodes]uint8) {
	low := 0
	for code := range 256 {
		for low < nodes-2 && code >= int(knots[low+1]) {
			low++
		}
		from, to := int(knots[low]), int(knots[low+1])
		l.cell[axis][code] = uint32(low * l.stride[axis])
		l.frac[axis][code] = uint32(((code-from)*256 + (to-from)/2) / max(to-from, 1))
	}
}

// tone is the coverages of one colour, two inks a word: each 32-bit half is 0..65280 x 256, 16 bits of tone above 8 of
// fraction.
type tone [(MaxScreens + 4) / 2]uint64

// mix interpolates the coverages of a colour.
//
// Tetrahedral: of the six tetrahedra of a cell, the one whose corners are reached by going along the axes in order of
// falling fraction. Greys stay on one edge, so they cannot pick up a colour.
func (l *lookup) mix(c color.RGB8, dst *tone) {
	fx, fy, fz := l.frac[0][c.R], l.frac[1][c.G], l.frac[2][c.B]
	sx, sy, sz := l.stride[0], l.stride[1], l.stride[2]
	if fx < fy {
		fx, fy, sx, sy = fy, fx, sy, sx
	}
	if fy < fz {
		fy, fz, sy, sz = fz, fy, sz, sy
	}
	if fx < fy {
		fx, fy, sx, sy = fy, fx, sy, sx
	}
	n0 := l.node[l.cell[0][c.R]+l.cell[1][c.G]+l.cell[2][c.B]:]
	n1 := n0[sx:]
	n2 := n1[sy:]
	n3 := n2[sz:]
	w0, w1, w2, w3 := uint64(256-fx), uint64(fx-fy), uint64(fy-fz), uint64(fz)
	for k := range l.words {
		dst[k] = n0[k]*w0 + n1[k]*w1 + n2[k]*w2 + n3[k]*w3
	}
}

// rounded writes the coverages as 0..255, one an ink; up, 0..65535 of one, is what it takes for the next to be
// reached. 32768 rounds to the nearest.
func (l *lookup) rounded(t *tone, up uint16, dst []uint8) {
	add := uint64(up) | uint64(up)<<32
	for k := range l.words {
		v := t[k] + add
		dst[2*k] = uint8(v >> 16)
		if 2*k+1 < l.inks {
			dst[2*k+1] = uint8(v >> 48)
		}
	}
}

// nearest rounds to the nearest.
const nearest = 1 << 15

// at writes the coverages of a colour rounded to 0..255, one an ink.
func (l *lookup) at(c color.RGB8, dst []uint8) {
	var t tone
	l.mix(c, &t)
	l.rounded(&t, nearest, dst)
}

// coverages gives the coverages of a colour as fractions, one an ink.
func (l *lookup) coverages(c color.RGB8, cov []float64) {
	var t tone
	l.mix(c, &t)
	for i := range cov {
		cov[i] = float64(uint32(t[i/2]>>(32*(i%2)))) / (255 << 16)
	}
}
