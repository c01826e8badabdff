package separate

import (
	"tamis/pkg/color"
	"tamis/pkg/pages"
)

// lookup is a table made ready for pixels: whole numbers, eight inks a group.
//
// A node's coverage is scaled to 0..65280 (255 x 256); four weights that sum to 256 bring it to at most 24 bits, 16 of
// tone above 8 of fraction.
type lookup struct {
	inks   int
	steps  steps
	groups [][]uint64 // of eight inks or what is left of them: two words a node, four inks a word, each less 32768 (see offNode)
}

// steps say where a colour lies between the nodes: for each axis and code the cell's low node, in nodes, in the low 23
// bits, and above them how far the colour is into the cell, 0..256. Three codes' steps added have the cell's node in
// those low bits, as the nodes' count needs 17.
type steps [3][256]uint32

const (
	fracShift = 23
	cellMask  = 1<<fracShift - 1
)

// The nodes to the next one along R, G and B.
const (
	strideR = nodes * nodes
	strideG = nodes
	strideB = 1
)

// groupInks is how many inks a group holds: what a kernel makes at once.
const groupInks = 8

// offNode is what node values are kept less of: as signed 16-bit numbers they can be weighed two at a time.
const offNode = 0x8000

func newLookup(t *table) *lookup {
	l := &lookup{inks: t.inks}
	for axis := range l.steps {
		l.fillAxis(axis, t.knots[axis])
	}
	for first := 0; first < t.inks; first += groupInks {
		group := pages.Make[uint64](2 * nodes * nodes * nodes)
		for i := range nodes * nodes * nodes {
			cov := t.node(i)
			for k := range groupInks {
				scaled := uint64(0)
				if first+k < len(cov) {
					scaled = uint64(float64(cov[first+k]*65280) + 0.5)
				}
				group[2*i+k/4] |= (scaled ^ offNode) << (16 * (k % 4))
			}
		}
		l.groups = append(l.groups, group)
	}
	return l
}

func (l *lookup) fillAxis(axis int, knots [nodes]uint8) {
	low := uint32(0)
	for code := range 256 {
		for low < nodes-2 && code >= int(knots[low+1]) {
			low++
		}
		from, to := int(knots[low]), int(knots[low+1])
		frac := uint32(((code-from)*256 + (to-from)/2) / max(to-from, 1))
		l.steps[axis][code] = low*[3]uint32{strideR, strideG, strideB}[axis] | frac<<fracShift
	}
}

// place finds a colour in the table: four nodes and their weights, 0..256, which sum to 256.
//
// Tetrahedral: of the six tetrahedra of a cell, the one whose corners are reached by going along the axes in order of
// falling fraction. Greys stay on one edge, so they cannot pick up a colour. Of equal fractions either may be first:
// the weight between them is 0.
func (s *steps) place(r, g, b uint8) (n0, n1, n2, n3, w0, w1, w2, w3 uint32) {
	x, y, z := s[0][r], s[1][g], s[2][b]
	most, least := max(x, y, z), min(x, y, z)
	n0 = (x + y + z) & cellMask
	middle := (x + y + z - most - least) >> fracShift
	first, last := uint32(strideB), uint32(strideR)
	if y == most {
		first = strideG
	}
	if x == most {
		first = strideR
	}
	if y == least {
		last = strideG
	}
	if z == least {
		last = strideB
	}
	most, least = most>>fracShift, least>>fracShift
	n3 = n0 + strideR + strideG + strideB
	return n0, n0 + first, n3 - last, n3, 256 - most, most - middle, middle - least, least
}

// tones gives the coverages of a colour, 0..65280 x 256 each.
func (l *lookup) tones(c color.RGB8, dst []uint32) {
	n0, n1, n2, n3, w0, w1, w2, w3 := l.steps.place(c.R, c.G, c.B)
	for k := range dst[:l.inks] {
		g := l.groups[k/groupInks]
		dst[k] = nodeTone(g, n0, k)*w0 + nodeTone(g, n1, k)*w1 + nodeTone(g, n2, k)*w2 + nodeTone(g, n3, k)*w3
	}
}

// nodeTone is the tone of ink k at a node of its group, 0..65280.
func nodeTone(group []uint64, node uint32, k int) uint32 {
	k %= groupInks
	return uint32(uint16(group[2*node+uint32(k/4)]>>(16*(k%4))) ^ offNode)
}

// nearest rounds to the nearest.
const nearest = 1 << 15

// at writes the coverages of a colour rounded to 0..255, one an ink.
func (l *lookup) at(c color.RGB8, dst []uint8) {
	var t [MaxScreens + 4]uint32
	l.tones(c, t[:])
	for k := range l.inks {
		dst[k] = uint8((t[k] + nearest) >> 16)
	}
}

// coverages gives the coverages of a colour as fractions, one an ink.
func (l *lookup) coverages(c color.RGB8, cov []float64) {
	var t [MaxScreens + 4]uint32
	l.tones(c, t[:])
	for i := range cov {
		cov[i] = float64(t[i]) / (255 << 16)
	}
}
