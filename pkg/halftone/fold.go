package halftone

import (
	"encoding/binary"

	"tamis/pkg/tone"
)

// toneFull is the solid in the integers the kernel compares: a plane's 255 times 4 (what horizontal upsampling keeps)
// times 32 (the vertical weights). A tone v of 0..32640 inks where v > T.
const toneFull = 255 * 4 * 32

// pad is how far a strip row is written past its end, so that 64 pixels can be read from any column of it.
const pad = 64

// fold builds the thresholds for curve c: two bytes an entry, little-endian, strip.width+pad a row. What is stored is
// 0x7fff - T, so that adding a tone of up to 32640 sets the top bit of its 16 exactly where it inks.
func (s *Screen) fold(c tone.Curve) {
	ofRank := s.thresholdsOfRanks(c)
	for rank, t := range ofRank {
		ofRank[rank] = 0x7fff - t
	}
	width := s.strip.width
	stride := (width + pad) * 2
	s.thresholds = make([]byte, stride*s.strip.rows)
	for y := range s.strip.rows {
		row := s.thresholds[y*stride:][:stride]
		put(row, ofRank, s.rank[y*width:][:width])
		for n := 2 * width; n < stride; {
			n += copy(row[n:], row[:n])
		}
	}
}

// put writes what stands for each rank, four entries at a time.
func put(row []byte, ofRank []uint16, ranks []uint32) {
	for len(ranks) >= 4 && len(row) >= 8 {
		a, b, c, d := ofRank[ranks[0]], ofRank[ranks[1]], ofRank[ranks[2]], ofRank[ranks[3]]
		binary.LittleEndian.PutUint64(row, uint64(a)|uint64(b)<<16|uint64(c)<<32|uint64(d)<<48)
		row, ranks = row[8:], ranks[4:]
	}
	for x, rank := range ranks {
		binary.LittleEndian.PutUint16(row[2*x:], ofRank[rank])
	}
}

// thresholdsOfRanks gives T for every place in the order of inking: the largest tone at which it is still bare.
func (s *Screen) thresholdsOfRanks(c tone.Curve) []uint16 {
	of := make([]uint16, s.ranks)
	inked := 0
	for v := 1; v <= toneFull; v++ {
		for n := s.inked(c, v); inked < n; inked++ {
			of[inked] = uint16(v - 1)
		}
	}
	return of
}

// inked is how many places are ink at tone v, 0..toneFull.
func (s *Screen) inked(c tone.Curve, v int) int {
	return int(float64(s.Spec.area(c, v)*float64(s.ranks)) + 0.5)
}

// Area is the share of the film, 0..1, that a screen of this specification inks at a tone, 0..1, with curve c folded in:
// right to a step of the screen's dots. It makes no screen. TestAreaNeverFallsOverAll65536Levels holds it to the bits.
func (s *Spec) Area(c tone.Curve, at float64) float64 {
	return s.area(c, int(float64(min(max(at, 0), 1)*toneFull)+0.5))
}

// area is the curve's tone of v, 0..toneFull, held to the smallest dot and hole; bare stays bare and solid solid.
func (s *Spec) area(c tone.Curve, v int) float64 {
	switch {
	case v <= 0:
		return 0
	case v >= toneFull:
		return 1
	}
	return s.limit(c.At(float64(v)/toneFull), v)
}

// holdFrom is the tone from which Hold prints the smallest dot: half a step of an 8-bit plane, so that the dying
// skirts of an upsampled edge stay bare. Holes are held up to as far below the solid.
const holdFrom = toneFull / 510

// limit keeps an area a, for tone v, to what the mesh holds.
func (s *Spec) limit(a float64, v int) float64 {
	switch {
	case a < s.MinDot && s.Highlights == Hold && v > holdFrom:
		return s.MinDot
	case a < s.MinDot:
		return 0
	case a > 1-s.MinGap && s.Shadows == Hold && v < toneFull-holdFrom:
		return 1 - s.MinGap
	case a > 1-s.MinGap:
		return 1
	}
	return a
}
