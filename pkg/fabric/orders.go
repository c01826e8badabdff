package fabric

import (
	"cmp"
	"math"
	"slices"

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
	return newCell(shapeAt(dot, tone)).orders(tone, newWaves())
}

// PlateOrders gives the amplitudes of a plate that carries every tone: each harmonic at the tone that shows it most.
// It takes some 5 ms.
func PlateOrders(dot halftone.Dot) Orders {
	var most Orders
	w, cells := newWaves(), map[halftone.Dot]*cell{}
	for _, tone := range allTones() {
		shape := shapeAt(dot, tone)
		if cells[shape] == nil {
			cells[shape] = newCell(shape)
		}
		one := cells[shape].orders(tone, w)
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
	type sample struct {
		value float64
		at    int32
	}
	samples := make([]sample, len(cell{}))
	for i := range samples {
		u := (2*float64(i%cellSamples)+1)/cellSamples - 1
		v := (2*float64(i/cellSamples)+1)/cellSamples - 1
		samples[i].value, _ = dot.Spot(u, v)
		samples[i].at = int32(i)
	}
	slices.SortFunc(samples, func(a, b sample) int {
		if a.value != b.value {
			return cmp.Compare(b.value, a.value)
		}
		return cmp.Compare(a.at, b.at)
	})
	c := &cell{}
	for place, s := range samples {
		c[s.at] = int32(place)
	}
	return c
}

// orders is the two-dimensional Fourier transform of the cell's ink at a tone: rows by their runs of ink, then columns.
// Ink is real, so the amplitude at (-k1, -k2) is that at (k1, k2).
func (c *cell) orders(tone float64, w *waves) Orders {
	inked := int32(math.Round(tone * float64(len(c))))
	var re, im [orderMost + 1][cellSamples]float64 // of row y at k1
	for y := range cellSamples {
		row := c[y*cellSamples : (y+1)*cellSamples]
		for x := 0; x < cellSamples; x++ {
			from := x
			for x < cellSamples && row[x] < inked {
				x++
			}
			for k := 0; x > from && k <= orderMost; k++ {
				re[k][y] += w.sumCos[k][x] - w.sumCos[k][from]
				im[k][y] -= w.sumSin[k][x] - w.sumSin[k][from]
			}
		}
	}
	var o Orders
	for k1 := range orderMost + 1 {
		for k2 := -orderMost; k2 <= orderMost; k2++ {
			size := w.column(&re[k1], &im[k1], k2) / float64(len(c))
			o[orderMost+k1][orderMost+k2], o[orderMost-k1][orderMost-k2] = size, size
		}
	}
	return o
}

// waves are the cosine and sine of every sample's share of a full turn, and the sums of those of k turns over the first
// so many samples.
type waves struct {
	cos, sin       [cellSamples]float64
	sumCos, sumSin [orderMost + 1][cellSamples + 1]float64
}

func newWaves() *waves {
	w := &waves{}
	for t := range cellSamples {
		w.sin[t], w.cos[t] = math.Sincos(2 * math.Pi * float64(t) / cellSamples)
	}
	for k := range orderMost + 1 {
		for x := range cellSamples {
			t := k * x % cellSamples
			w.sumCos[k][x+1], w.sumSin[k][x+1] = w.sumCos[k][x]+w.cos[t], w.sumSin[k][x]+w.sin[t]
		}
	}
	return w
}

// column is the size of the transform of a column at k.
func (w *waves) column(re, im *[cellSamples]float64, k int) float64 {
	a, b := 0.0, 0.0
	for y := range cellSamples {
		t := (k*y%cellSamples + cellSamples) % cellSamples
		a += float64(re[y]*w.cos[t]) + float64(im[y]*w.sin[t])
		b += float64(im[y]*w.cos[t]) - float64(re[y]*w.sin[t])
	}
	return math.Hypot(a, b)
}
