package film

import (
	"encoding/binary"
	"errors"
	"io"
	"math/bits"

	"golang.org/x/image/ccitt"

	"tamis/pkg/fault"
	"tamis/pkg/raster"
)

// Rows reads the print of a film back from its TIFF, row by row from the top: bits as they lie on the film, 1 is ink,
// a negative and a mirror undone, a turn not. One belongs to one goroutine.
type Rows struct {
	Width, Height int // the print box in device pixels

	layout *Layout
	code   io.Reader
	packed []byte   // a row of the page as the decoder gives it, first pixel in the top bit, padded to words
	page   []uint64 // the same as words
	turned []uint64
	left   int // rows of the box still to come
}

// OpenRows opens a TIFF that Write made for this layout; what is none of ours is fault.Internal.
func (l *Layout) OpenRows(tiff io.ReaderAt) (*Rows, error) {
	strip, err := readStrip(tiff)
	if err != nil {
		return nil, err
	}
	words := (l.WidthPX + 63) / 64
	r := &Rows{Width: l.box[2] - l.box[0], Height: l.box[3] - l.box[1], layout: l,
		code: ccitt.NewReader(strip, ccitt.MSB, ccitt.Group4, l.WidthPX, l.HeightPX,
			&ccitt.Options{Invert: true}),
		packed: make([]byte, 8*words), page: make([]uint64, words), turned: make([]uint64, words)}
	r.left = r.Height
	for range l.box[1] {
		if err := r.read(); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// read fills packed with the next row of the page.
func (r *Rows) read() error {
	_, err := io.ReadFull(r.code, r.packed[:(r.layout.WidthPX+7)/8])
	if errors.Is(err, io.EOF) {
		err = io.ErrUnexpectedEOF // a film ends after its last row, not before
	}
	if err != nil {
		return fault.Wrap(err, fault.Internal, "film_unreadable", "a film's code cannot be read")
	}
	return nil
}

// Next writes the next row of the print to dst, (Width+63)/64 words as in raster.Bitmap; after the last it is io.EOF.
func (r *Rows) Next(dst []uint64) error {
	if r.left == 0 {
		return io.EOF
	}
	r.left--
	if err := r.read(); err != nil {
		return err
	}
	for i := range r.page {
		r.page[i] = bits.Reverse64(binary.BigEndian.Uint64(r.packed[8*i:]))
		if r.layout.Spec.Negative {
			r.page[i] = ^r.page[i]
		}
	}
	row := r.page
	trim(row, r.layout.WidthPX)
	if r.layout.Mirrored() {
		raster.MirrorBits(r.turned, row, r.layout.WidthPX)
		row = r.turned
	}
	clear(dst)
	raster.OrBits(dst, row, -r.layout.box[0])
	trim(dst, r.Width)
	return nil
}

// trim clears the bits past width.
func trim(row []uint64, width int) {
	if width&63 != 0 {
		row[len(row)-1] &= 1<<(width&63) - 1
	}
}
