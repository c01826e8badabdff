package halftone

import (
	_ "embed" // the mask
	"encoding/binary"
	"math"
)

// maskSide is the side, in dots, of the FM mask: 128 dots of 60 um repeat every 7.7 mm, past what the eye picks out.
const maskSide = 128

// scatter lays the void-and-cluster mask over blocks of whole device pixels, as near the asked dot as they come each
// way, so that a dot is as high as wide where the resolutions differ.
func (s *Screen) scatter() {
	s.gridX = blockPX(s.Spec.DotUM, s.Spec.XDPI)
	s.repeat = blockPX(s.Spec.DotUM, s.Spec.YDPI)
	s.DotXUM = float64(s.gridX) * 25400 / s.Spec.XDPI
	s.DotYUM = float64(s.repeat) * 25400 / s.Spec.YDPI
	s.strip = lattice{width: maskSide * s.gridX, rows: maskSide}
	mask := storedMask()
	s.ranks = len(mask)
	s.rank = make([]uint32, s.strip.width*s.strip.rows)
	for y := range maskSide {
		for x := range s.strip.width {
			s.rank[y*s.strip.width+x] = mask[y*maskSide+x/s.gridX]
		}
	}
}

// blockPX is the number of device pixels nearest to a dot of so many micrometres, at least 1.
func blockPX(dotUM, dpi float64) int { return max(1, int(math.Round(dotUM*dpi/25400))) }

// maskFile is the mask's ranks, row by row, two bytes each, little-endian. Making it takes 0.1 s, too long for every
// screen; TestStoredMaskIsTheGeneratorsOwn makes it again and compares (with -update it writes it).
//
//go:embed mask128.bin
var maskFile string

// storedMask reads the mask.
func storedMask() []uint32 {
	mask := make([]uint32, maskSide*maskSide)
	data := []byte(maskFile)
	for i := range mask {
		mask[i] = uint32(binary.LittleEndian.Uint16(data[2*i:]))
	}
	return mask
}
