package halftone

import (
	"encoding/binary"

	"tamis/pkg/kernel"
)

// Row screens one film row: dst, words of 64 pixels least significant first, gets the bits of film row y from column
// x0, a multiple of 64, on. upper and lower are two rows of tones upsampled across (raster.Spread makes them), two
// bytes a pixel, little-endian, 0..1020, each len(dst)*64 pixels; weight, 0..32, is the share of lower in 32nds.
// Pixels of tone 0 stay bare, whatever the screen.
//
// It panics on a short row or a column off the word grid: a bug of the caller.
func (s *Screen) Row(dst []uint64, upper, lower []byte, weight, x0, y int) {
	if x0&63 != 0 || len(upper) < len(dst)*128 || len(lower) < len(dst)*128 || weight < 0 || weight > 32 {
		panic("halftone: rows shorter than the bits asked for, or off the word grid")
	}
	line := y / s.repeat
	width := s.strip.width
	row := s.thresholds[line%s.strip.rows*(width+pad)*2:][:(width+pad)*2]
	column := (s.strip.column(line) + x0) % width
	screenRow(dst, upper, lower, weight, row, column, width)
}

// rowKernel is what every way of screening a row looks like; see rowGeneric for what it does.
type rowKernel func(dst []uint64, upper, lower []byte, weight int, row []byte, column, width int)

// screenRow is the fastest kernel this machine runs, chosen once.
var screenRow = kernel.Fastest(rowVariants, rowGeneric)

// rowGeneric is the definition, and what every variant is tested against: ink where the tone between the rows passes the
// threshold of the strip row at the pixel's column. row is one strip row of width entries and pad more, as fold makes
// it, and column, 0..width-1, is where dst's first pixel stands in it.
func rowGeneric(dst []uint64, upper, lower []byte, weight int, row []byte, column, width int) {
	for i := range dst {
		var word uint64
		for bit := range 64 {
			at := 2 * (64*i + bit)
			a, b := int(binary.LittleEndian.Uint16(upper[at:])), int(binary.LittleEndian.Uint16(lower[at:]))
			v := a*(32-weight) + b*weight
			threshold := 0x7fff - int(binary.LittleEndian.Uint16(row[2*((column+64*i+bit)%width):]))
			if v > threshold {
				word |= 1 << bit
			}
		}
		dst[i] = word
	}
}
