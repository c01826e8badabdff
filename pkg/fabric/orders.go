package fabric

import (
	"math"
	"sort"

	"tamis/pkg/halftone"
)

// orderMost is the highest harmonic of a halftone that is looked at, each way: a ruling of 30 lpi meets 140 threads/cm
// at its twelfth. Ours: beyond, a beat's amplitude is under half a percent of coverage.
const orderMost = 12

// Orders are the Fourier amplitudes of one halftone cell, |c(k1, k2)| for k1, k2 = -12..12: how much of the halftone's
// coverage swings at k1 rulings along its angle and k2 across. c(0, 0) is the tone.
type Orders [2*orderMost + 1][2*orderMost + 1]float64

// At gives |c(k1, k2)|; k1 and k2 within -12..12.
func (o *Orders) At(k1, k2 int) float64 { return o[k1+orderMost][k2+orderMost] }

// cellSamples is how finely a cell is sampled, each way: ten to the highest harmonic.
const cellSamples = 128

// allTones are what a plate that carries every tone is reckoned at.
func allTones() []float64 { return []float64{0.1, 0.25, 0.5, 0.75, 0.9} }

// DotOrders gives the amplitudes of a dot at a tone, 0..1: the dot's own shape, cut at its quantile. A dot that has no
// spot function of its own is taken by the shape it has at that tone; an unknown one is round.
func DotOrders(dot halftone.Dot, tone float64) Orders {
	return newCell(shapeAt(dot, tone)).orders(tone)
}

// PlateOrders gives the amplitudes of a plate that carries every tone: each harmonic at the tone that shows it most.
func PlateOrders(dot halftone.Dot) Orders {
	var most Orders
	for _, tone := range allTones() {
		one := DotOrders(dot, tone)
		for i := range most {
			for j := range most[i] {
				most[i][j] = math.Max(most[i][j], one[i][j])
			}
		}
	}
	return most
}

// shapeAt gives a dot with a spot function. halftone.DotRoundSquare is discs in the lights, squares at mid-tone, round
// holes in the shadows; it passes from one to the next half way.
func shapeAt(dot halftone.Dot, tone float64) halftone.Dot {
	if _, known := dot.Spot(0, 0); known {
		return dot
	}
	switch {
	case dot != halftone.DotRoundSquare, tone > 0.625:
		return halftone.DotRound
	case tone < 0.375:
		return halftone.DotSimple
	}
	return halftone.DotCosine
}

// cell is one halftone cell, sampled: the place of each sample in the order of inking.
type cell [cellSamples * cellSamples]int32

func newCell(dot halftone.Dot) *cell {
	values, at := make([]float64, len(cell{})), make([]int, len(cell{}))
	for i := range values {
		u := (2*float64(i%cellSamples)+1)/cellSamples - 1
		v := (2*float64(i/cellSamples)+1)/cellSamples - 1
		values[i], _ = dot.Spot(u, v)
		at[i] = i
	}
	sort.SliceStable(at, func(i, j int) bool { return values[at[i]] > values[at[j]] })
	c := &cell{}
	for place, i := range at {
		c[i] = int32(place)
	}
	return c
}

// orders is the two-dimensional Fourier transform of the cell's ink at a tone, rows first.
func (c *cell) orders(tone float64) Orders {
	inked := int32(math.Round(tone * float64(len(c))))
	cos, sin := turns()
	var re, im [cellSamples][2*orderMost + 1]float64
	for y := range cellSamples {
		for x := range cellSamples {
			if c[y*cellSamples+x] >= inked {
				continue
			}
			for k := -orderMost; k <= orderMost; k++ {
				t := (k*x%cellSamples + cellSamples) % cellSamples
				re[y][k+orderMost] += cos[t]
				im[y][k+orderMost] -= sin[t]
			}
		}
	}
	var o Orders
	for i := range o {
		for k := -orderMost; k <= orderMost; k++ {
			var a, b float64
			for y := range cellSamples {
				t := (k*y%cellSamples + cellSamples) % cellSamples
				a += re[y][i]*cos[t] + im[y][i]*sin[t]
				b += im[y][i]*cos[t] - re[y][i]*sin[t]
			}
			o[i][k+orderMost] = math.Hypot(a, b) / float64(len(c))
		}
	}
	return o
}

// turns are the cosine and sine of every sample's share of a full turn.
func turns() (cos, sin [cellSamples]float64) {
	for t := range cellSamples {
		sin[t], cos[t] = math.Sincos(2 * math.Pi * float64(t) / cellSamples)
	}
	return cos, sin
}
