package nest

import (
	"fmt"
	"io"
	"slices"

	"tamis/pkg/raster"
)

// Film gives a film's rows from the top: Next fills (width+63)/64 words and is io.EOF after the last.
type Film interface{ Next(dst []uint64) error }

// Sheet joins the films of one sheet, row by row.
type Sheet struct {
	Width, Length int

	open    func(i int) (Film, error)
	waiting []member // those still to come, by where they begin
	active  []member
	marks   marks
	y       int
}

// member is one film on a sheet.
type member struct {
	i     int // which film of the nest
	size  Size
	place Place
	rows  Film
	row   []uint64
}

// NewSheet makes sheet n of a nest. Films are opened, by their number in films, when the rows they begin at are asked
// for, and forgotten after their last; a turned one is held whole, as bits, while its rows pass. Cut marks stand at the
// corners of each film, half a gap long, in the gap: where there is no room for a mark of markPX there is none.
func (p Plan) NewSheet(n int, r Roll, films []Size, open func(i int) (Film, error), markPX int) *Sheet {
	s := &Sheet{Width: r.Width, Length: p.Lengths[n], open: open}
	for i, place := range p.Places {
		if place.Sheet == n {
			s.waiting = append(s.waiting, member{i: i, size: films[i], place: place})
		}
	}
	slices.SortFunc(s.waiting, func(a, b member) int { return a.place.Y - b.place.Y })
	if markPX > 0 {
		s.marks = cutMarks(s.waiting, r, markPX)
	}
	return s
}

// Next joins the next row into row, which is clear; after the last it is io.EOF.
func (s *Sheet) Next(row []uint64) error {
	if s.y == s.Length {
		return io.EOF
	}
	for len(s.waiting) > 0 && s.waiting[0].place.Y == s.y {
		m := s.waiting[0]
		if err := m.begin(s.open); err != nil {
			return fmt.Errorf("film %d: %w", m.i+1, err)
		}
		s.active, s.waiting = append(s.active, m), s.waiting[1:]
	}
	s.marks.onto(row, s.y)
	s.y++
	rest := s.active[:0]
	for _, m := range s.active {
		if err := m.rows.Next(m.row); err != nil {
			return fmt.Errorf("film %d: %w", m.i+1, err)
		}
		raster.OrBits(row, m.row, m.place.X)
		if _, high := m.lies(); m.place.Y+high > s.y {
			rest = append(rest, m)
		}
	}
	clear(s.active[len(rest):])
	s.active = rest
	return nil
}

// lies is the film's size as it lies.
func (m member) lies() (wide, high int) {
	if m.place.Turned {
		return m.size.Height, m.size.Width
	}
	return m.size.Width, m.size.Height
}

// begin opens the film.
func (m *member) begin(open func(i int) (Film, error)) error {
	rows, err := open(m.i)
	if err != nil {
		return err
	}
	wide, _ := m.lies()
	m.row = make([]uint64, (wide+63)/64)
	m.rows = rows
	if m.place.Turned {
		m.rows, err = turned(rows, m.size)
	}
	return err
}

// bits are a film's rows held whole.
type bits struct {
	*raster.Bitmap
	y int
}

func (b *bits) Next(dst []uint64) error {
	if b.y == b.Height {
		return io.EOF
	}
	copy(dst, b.Row(b.y))
	b.y++
	return nil
}

// turned reads a film whole and turns it left: its top comes to lie at the left, its right edge at the top.
func turned(rows Film, size Size) (Film, error) {
	b := &bits{Bitmap: raster.NewBitmap(size.Height, size.Width)}
	block := make([][]uint64, 64) // of rows, to be turned together
	for i := range block {
		block[i] = make([]uint64, (size.Width+63)/64)
	}
	for y := 0; y < size.Height; y += 64 {
		n := min(64, size.Height-y)
		for i := range n {
			if err := rows.Next(block[i]); err != nil {
				return nil, err
			}
		}
		for i := n; i < 64; i++ {
			clear(block[i])
		}
		for w := range block[0] {
			turnWord(b, block, w, y>>6)
		}
	}
	return b, nil
}

// turnWord turns 64 x 64 bits: column w*64+j of the rows becomes the row that far from the foot.
func turnWord(b *bits, block [][]uint64, w, column int) {
	var square [64]uint64
	for i := range square {
		square[i] = block[i][w]
	}
	transpose(&square)
	for j, word := range square {
		if y := b.Height - 1 - (w*64 + j); y >= 0 {
			b.Row(y)[column] = word
		}
	}
}

// transpose turns a square of bits about its diagonal: bit j of word i becomes bit i of word j.
//
// Source: H. S. Warren, Hacker's Delight, 2nd ed. (2012), section 7-3: halves, quarters and so on change places.
func transpose(a *[64]uint64) {
	mask := uint64(0xffffffff)
	for size := 32; size > 0; size >>= 1 {
		for i := 0; i < 64; i = (i + size + 1) &^ size {
			t := (a[i]>>size ^ a[i+size]) & mask
			a[i] ^= t << size
			a[i+size] ^= t
		}
		mask ^= mask << (size >> 1)
	}
}
