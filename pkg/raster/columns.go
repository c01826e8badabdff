package raster

import "encoding/binary"

// ColumnSums adds up rows of a plane, column by column: eight pixels at a time, the even ones and the odd ones in four
// 16-bit lanes each. One belongs to one goroutine.
type ColumnSums struct {
	evens, odds []uint64 // of eight columns an element
	total       []uint32 // of each column
}

// laneRows is how many rows a lane holds: 257 x 255 is the largest 16-bit number.
const laneRows = 257

// NewColumnSums is for planes of a width.
func NewColumnSums(width int) ColumnSums {
	words := width / 8
	return ColumnSums{make([]uint64, words), make([]uint64, words), make([]uint32, width)}
}

// Of gives the sums of rows y0 to y1, y1 not among them, in each column. They are the receiver's, and good until the
// next.
func (s *ColumnSums) Of(p *Plane, y0, y1 int) []uint32 {
	clear(s.total)
	for y := y0; y < y1; y += laneRows {
		s.lanes(p, y, min(y+laneRows, y1))
	}
	return s.total
}

func (s *ColumnSums) lanes(p *Plane, y0, y1 int) {
	const even = 0x00ff_00ff_00ff_00ff
	clear(s.evens)
	clear(s.odds)
	rest := 8 * len(s.evens)
	for y := y0; y < y1; y++ {
		row := p.Row(y)
		odds := s.odds[:len(s.evens)]
		for i := range s.evens {
			v := binary.LittleEndian.Uint64(row[8*i:])
			s.evens[i] += v & even
			odds[i] += v >> 8 & even
		}
		for x, v := range row[rest:] {
			s.total[rest+x] += uint32(v)
		}
	}
	for i, e := range s.evens {
		o, to := s.odds[i], s.total[8*i:][:8]
		for j := range 4 {
			to[2*j] += uint32(e >> (16 * j) & 0xffff)
			to[2*j+1] += uint32(o >> (16 * j) & 0xffff)
		}
	}
}
