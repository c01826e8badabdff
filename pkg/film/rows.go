package film

import (
	"encoding/binary"
	"io"
	"math/bits"

	"tamis/pkg/raster"
)

// Rows reads the print of a film back from its TIFF, row by row from the top: bits as they lie on the film, 1 is ink,
// a negative and a mirror undone, a turn not. One belongs to one goroutine.
type Rows struct {
	Width, Height int // the print box in device pixels

	layout *Layout
	source *Page
	page   []uint64 // a row of it
	turned []uint64
	left   int // rows of the box still to come
}

// OpenRows opens a TIFF that Write made for this layout; what is none of ours is fault.Internal.
func (l *Layout) OpenRows(tiff io.ReaderAt) (*Rows, error) {
	source, err := OpenPage(tiff, l.WidthPX, l.HeightPX)
	if err != nil {
		return nil, err
	}
	words := (l.WidthPX + 63) / 64
	r := &Rows{Width: l.box[2] - l.box[0], Height: l.box[3] - l.box[1], layout: l, source: source,
		page: make([]uint64, words), turned: make([]uint64, words)}
	r.left = r.Height
	for range l.box[1] {
		if err := r.source.Next(r.page); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// Next writes the next row of the print to dst, (Width+63)/64 words as in raster.Bitmap; after the last it is io.EOF.
func (r *Rows) Next(dst []uint64) error {
	if r.left == 0 {
		return io.EOF
	}
	r.left--
	if err := r.source.Next(r.page); err != nil {
		return err
	}
	row := r.page
	if r.layout.Spec.Negative {
		negate(row, r.layout.WidthPX)
	}
	if r.layout.Mirrored() {
		raster.MirrorBits(r.turned, row, r.layout.WidthPX)
		row = r.turned
	}
	clear(dst)
	raster.OrBits(dst, row, -r.layout.box[0])
	trim(dst, r.Width)
	return nil
}

// unpack turns bytes, first pixel in the top bit, to words, first pixel in the lowest.
func unpack(dst []uint64, packed []byte) {
	for i := range dst {
		dst[i] = bits.Reverse64(binary.BigEndian.Uint64(packed[8*i:]))
	}
}

// trim clears the bits past width.
func trim(row []uint64, width int) {
	if width&63 != 0 {
		row[len(row)-1] &= 1<<(width&63) - 1
	}
}
