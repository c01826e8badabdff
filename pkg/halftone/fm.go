package halftone

import (
	"math"

	"tamis/pkg/raster"
)

// maskSide is the side, in dots, of the FM mask.
const maskSide = raster.BlueNoiseSide

// squareEnough is how far, as a logarithm, a dot may be from square and still take the stored mask. Ours: 5 % is within
// what the spectrum's own scatter shows (TestScatteredDotsAreBlueNoise); a mask made anew takes 0.1 s.
const squareEnough = 0.05

// scatter lays the void-and-cluster mask over blocks of whole device pixels, as near the asked dot as they come each
// way, so that a dot is as high as wide where the resolutions differ. Where whole pixels leave it longer one way, the
// mask is made anew for dots of that shape, so that they lie as evenly along the film as across.
func (s *Screen) scatter() {
	s.gridX = blockPX(s.Spec.DotUM, s.Spec.XDPI)
	s.repeat = blockPX(s.Spec.DotUM, s.Spec.YDPI)
	s.DotXUM = float64(s.gridX) * 25400 / s.Spec.XDPI
	s.DotYUM = float64(s.repeat) * 25400 / s.Spec.YDPI
	s.strip = lattice{width: maskSide * s.gridX, rows: maskSide}
	mask := raster.BlueNoise()
	if aspect := s.DotYUM / s.DotXUM; math.Abs(math.Log(aspect)) > squareEnough {
		mask = voidAndCluster(lattice{width: maskSide, rows: maskSide}, aspect, maskSeed)
	}
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
