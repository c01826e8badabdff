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

// scatter lays the void-and-cluster mask over blocks of whole device pixels, no smaller than the asked dot, so that a
// dot is as high as wide where the resolutions differ. Where whole pixels leave it longer one way, the
// mask is made anew for dots of that shape, so that they lie as evenly along the film as across.
func (s *Screen) scatter() {
	s.gridX, s.repeat = blockOf(s.Spec)
	s.DotXUM, s.DotYUM = ActualDot(s.Spec)
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

// blockOf gives a dot in whole device pixels: the least number each way that is no smaller than asked, or, where that
// leaves it a fifth longer one way than the other, the numbers from there on that are best in size and shape together.
func blockOf(s Spec) (x, y int) {
	pixelX, pixelY := 25400/s.XDPI, 25400/s.YDPI
	off := func(x, y int) (size, shape float64) {
		dx, dy := float64(x)*pixelX, float64(y)*pixelY
		return math.Abs(math.Log(dx/s.DotUM)) + math.Abs(math.Log(dy/s.DotUM)), math.Abs(math.Log(dx / dy))
	}
	leastX, leastY := blockPX(s.DotUM, s.XDPI), blockPX(s.DotUM, s.YDPI)
	x, y = leastX, leastY
	if _, shape := off(x, y); shape < math.Log(1.2) {
		return x, y
	}
	best := math.Inf(1)
	for i := leastX; i <= leastX+2; i++ {
		for j := leastY; j <= leastY+2; j++ {
			if size, shape := off(i, j); size+shape < best {
				x, y, best = i, j, size+shape
			}
		}
	}
	return x, y
}

// blockPX is the least number of device pixels that give a dot of so many micrometres: what is smaller the mesh asked
// about may not hold. A twentieth less passes.
func blockPX(dotUM, dpi float64) int { return max(1, int(math.Ceil(0.95*dotUM*dpi/25400))) }

// ActualDot is the dot that New scatters for an FM specification, micrometres across and along the film: whole device
// pixels.
func ActualDot(s Spec) (xUM, yUM float64) {
	x, y := blockOf(s)
	return float64(x) * 25400 / s.XDPI, float64(y) * 25400 / s.YDPI
}
