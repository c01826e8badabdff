package halftone

import (
	"encoding/binary"
	"math"
	"testing"

	"tamis/pkg/raster"
)

// grownArea screens a flat tone, moves every edge of the bits outward and gives the area before and after.
func grownArea(s *Screen, tone, growthUM float64, side int) (before, after float64) {
	words := (side + 63) / 64
	level := make([]byte, words*128)
	for i := 0; i < len(level); i += 2 {
		binary.LittleEndian.PutUint16(level[i:], uint16(math.Round(tone*1020)))
	}
	p := &raster.Plane{Width: side, Height: side, Pix: make([]uint8, side*side)}
	row := make([]uint64, words)
	for y := range side {
		s.Row(row, level, level, 0, 0, y)
		for x := range side {
			p.Pix[y*side+x] = uint8(255 * (row[x>>6] >> (x & 63) & 1))
		}
	}
	pitchUM := 25400 / s.Spec.XDPI
	for i, d := range raster.DistanceWithin(p, pitchUM, pitchUM, growthUM+2*pitchUM) {
		if p.Pix[i] != 0 {
			before++
		}
		if float64(d) <= growthUM+1e-6 {
			after++
		}
	}
	return before / float64(side*side), after / float64(side*side)
}

func TestAssumedGrowthIsWhatMovedEdgesMakeOfTheBits(t *testing.T) {
	const growthUM = 10
	for _, spec := range []Spec{
		{Kind: AM, FreqLPI: 30, AngleDeg: 22.5, XDPI: 5080, YDPI: 5080},
		{Kind: AM, FreqLPI: 55, AngleDeg: 22.5, XDPI: 5080, YDPI: 5080},
		{Kind: AM, FreqLPI: 90, AngleDeg: 22.5, XDPI: 5080, YDPI: 5080},
		{Kind: Hybrid, FreqLPI: 55, AngleDeg: 22.5, DotUM: 100, XDPI: 5080, YDPI: 5080},
		{Kind: FM, DotUM: 100, XDPI: 5080, YDPI: 5080},
		{Kind: FM, DotUM: 200, XDPI: 5080, YDPI: 5080},
		{Kind: FM, ClusterUM: 200, XDPI: 5080, YDPI: 5080},
		{Kind: FM, ClusterUM: 400, XDPI: 5080, YDPI: 5080},
	} {
		s := mustNew(t, spec)
		curve := spec.Growth(growthUM)
		worst := 0.0
		for _, tone := range []float64{0.05, 0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9, 0.95} {
			before, after := grownArea(s, tone, growthUM, 2000)
			worst = math.Max(worst, math.Abs(curve.At(before)-after))
		}
		t.Logf("%s: off by %.3f of area at most; 50 %% grows to %.3f", spec.name(), worst, curve.At(0.5))
		if worst > 0.025 {
			t.Errorf("%s: off by %.3f of area (tolerance 0.025: dots of blue noise keep apart where they can)", spec.name(), worst)
		}
	}
}
