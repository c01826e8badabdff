package raster

import (
	_ "embed" // the mask
	"encoding/binary"
)

// BlueNoiseSide is the side of the mask: at 60 um a dot it repeats every 7.7 mm, past what the eye picks out.
const BlueNoiseSide = 128

// maskFile is the mask's ranks, row by row, two bytes each, little-endian. Making it takes 0.1 s, too long for every
// use; halftone, which has the generator, tests that this is what it makes.
//
//go:embed mask128.bin
var maskFile string

// BlueNoise is a mask of BlueNoiseSide rows and columns that tiles: the ranks 0..BlueNoiseSide^2-1, placed so that any
// number of the first ones lies as evenly as can be, without a pattern.
//
// Source: R. Ulichney, SPIE 1913 (1993) 332-343: void and cluster.
func BlueNoise() []uint32 {
	mask := make([]uint32, BlueNoiseSide*BlueNoiseSide)
	data := []byte(maskFile)
	for i := range mask {
		mask[i] = uint32(binary.LittleEndian.Uint16(data[2*i:]))
	}
	return mask
}
