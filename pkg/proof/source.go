package proof

import (
	"errors"
	"io"

	"tamis/pkg/film"
	"tamis/pkg/raster"
)

// source gives one film's print row by row, moved by its register error.
type source struct {
	rows  *film.Rows
	row   []uint64
	dx    int
	blank int // bare rows before the film's first
}

// open opens film i.
func (f *filmed) open(i int) (*source, error) {
	rows, err := f.layout.OpenRows(f.films[i].TIFF)
	if err != nil {
		return nil, err
	}
	s := &source{rows: rows, row: make([]uint64, (rows.Width+63)/64), dx: f.shift[i][0], blank: max(0, f.shift[i][1])}
	for range min(rows.Height, -min(0, f.shift[i][1])) {
		if err := rows.Next(s.row); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// next writes the next row to dst: bare before the film begins and after it ends.
func (s *source) next(dst []uint64) error {
	if s.blank > 0 {
		s.blank--
		clear(dst)
		return nil
	}
	if s.dx == 0 {
		return ended(s.rows.Next(dst), dst)
	}
	err := ended(s.rows.Next(s.row), s.row)
	clear(dst)
	raster.OrBits(dst, s.row, s.dx)
	if rest := s.rows.Width & 63; rest != 0 {
		dst[len(dst)-1] &= 1<<rest - 1
	}
	return err
}

// ended turns the end of a film into bare rows.
func ended(err error, row []uint64) error {
	if errors.Is(err, io.EOF) {
		clear(row)
		return nil
	}
	return err
}
