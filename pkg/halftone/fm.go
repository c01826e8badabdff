package halftone

import (
	"math"

	"tamis/pkg/raster"
)

// maskSide is the side, in dots, of the FM mask.
const maskSide = raster.BlueNoiseSide

// scatter lays the void-and-cluster mask over blocks of whole device pixels, as near the asked dot as they come each
// way, so that a dot is as high as wide where the resolutions differ.
func (s *Screen) scatter() {
	s.gridX = blockPX(s.Spec.DotUM, s.Spec.XDPI)
	s.repeat = blockPX(s.Spec.DotUM, s.Spec.YDPI)
	s.DotXUM = float64(s.gridX) * 25400 / s.Spec.XDPI
	s.DotYUM = float64(s.repeat) * 25400 / s.Spec.YDPI
	s.strip = lattice{width: maskSide * s.gridX, rows: maskSide}
	mask := raster.BlueNoise()
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
