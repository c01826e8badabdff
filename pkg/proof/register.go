package proof

import (
	"math"

	"tamis/pkg/cores"
	"tamis/pkg/raster"
)

// displacement is how far plate i of n lies out of register, in mm on the upright print: the first stands, each other
// one is off by the whole error, in directions evenly turned from the right over the foot.
//
// Ours: no two plates go the same way, so every pair that should meet shows its gap or its overlap.
func displacement(i, n int, errorMM float64) [2]float64 {
	if i == 0 || errorMM == 0 {
		return [2]float64{}
	}
	sin, cos := math.Sincos(2 * math.Pi * float64(i-1) / float64(n-1))
	return [2]float64{errorMM * cos, errorMM * sin}
}

// rounded is the nearest whole number, halves upward.
func rounded(x float64) int { return int(math.Floor(x + 0.5)) }

// displaced are the planes out of register; a pixel is pitchMM wide and high.
func displaced(planes []*raster.Plane, errorMM, pitchMM float64) []*raster.Plane {
	out := make([]*raster.Plane, len(planes))
	for i, p := range planes {
		d := displacement(i, len(planes), errorMM)
		out[i] = moved(p, rounded(256*d[0]/pitchMM), rounded(256*d[1]/pitchMM))
	}
	return out
}

// moved is the plane moved right and down by dx and dy, in 1/256 pixels, bare where nothing lay; between pixels it is
// read by straight lines.
func moved(p *raster.Plane, dx, dy int) *raster.Plane {
	if dx == 0 && dy == 0 {
		return p
	}
	out := raster.NewPlane(p.Width, p.Height)
	cores.Each(p.Height, func(y int) { movedRow(out.Row(y), p, y, dx, dy) })
	return out
}

// movedRow fills row y. An arithmetic shift is a floor: the fractions are those to the next pixel right and down.
func movedRow(dst []uint8, p *raster.Plane, y, dx, dy int) {
	sy, fy := y+(-dy)>>8, -dy&255
	sx, fx := -dx>>8, -dx&255
	at := func(x, y int) int {
		if x < 0 || y < 0 || x >= p.Width || y >= p.Height {
			return 0
		}
		return int(p.Pix[y*p.Width+x])
	}
	for x := range dst {
		u := x + sx
		top := at(u, sy)*(256-fx) + at(u+1, sy)*fx
		foot := at(u, sy+1)*(256-fx) + at(u+1, sy+1)*fx
		dst[x] = uint8((top*(256-fy) + foot*fy + 1<<15) >> 16)
	}
}
