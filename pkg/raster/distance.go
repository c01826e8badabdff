package raster

import (
	"encoding/binary"
	"math"

	"tamis/pkg/cores"
	"tamis/pkg/pages"
)

// Distance gives, for every pixel, the distance to the nearest pixel that is ink (coverage >= 128), centre to centre,
// exact, in the unit of xPitch and yPitch: the width and height of a pixel, for example in mm. Ink itself is 0; a
// plane without ink is +Inf throughout. The result has the plane's layout.
//
// Source: A. Meijster, J. Roerdink, W. Hesselink, "A general algorithm for computing distance transforms in linear
// time" (2000), with unequal pitches; columns first, then the lower envelope of parabolas along rows.
func Distance(p *Plane, xPitch, yPitch float64) []float32 {
	return DistanceWithin(p, xPitch, yPitch, math.Inf(1))
}

// DistanceWithin is Distance up to a limit: what lies farther is +Inf. A near limit costs much less.
func DistanceWithin(p *Plane, xPitch, yPitch, limit float64) []float32 {
	dist := pages.Make[float32](len(p.Pix))
	cores.Ranges(p.Width, func(x0, x1 int) { columnDistances(p, dist, float32(yPitch), float32(limit), x0, x1) })
	cores.Ranges(p.Height, func(y0, y1 int) {
		e := newEnvelope(p.Width)
		for y := y0; y < y1; y++ {
			e.row(dist[y*p.Width:(y+1)*p.Width], xPitch, limit)
		}
	})
	return dist
}

// columnDistances writes each pixel's distance to the nearest ink in its own column, columns x0 to x1, +Inf past the
// limit: down all columns row by row, then up.
func columnDistances(p *Plane, dist []float32, pitch, limit float32, x0, x1 int) {
	inf := float32(math.Inf(1))
	run := make([]float32, x1-x0)
	for x := range run {
		run[x] = inf
	}
	for y := range p.Height {
		at := y*p.Width + x0
		row, out := p.Pix[at:at+len(run)], dist[at:at+len(run)]
		if allInk(row) { // out is zero as made
			clear(run)
			continue
		}
		for x, v := range row {
			run[x] += pitch
			if v >= 128 {
				run[x] = 0
			}
			out[x] = run[x]
		}
	}
	for x := range run {
		run[x] = inf
	}
	for y := p.Height - 1; y >= 0; y-- {
		out := dist[y*p.Width+x0:][:len(run)]
		if allZero(out) {
			clear(run)
			continue
		}
		for x, d := range out {
			run[x] += pitch
			if d == 0 {
				run[x] = 0
			}
			if d = min(d, run[x]); d > limit {
				d = inf
			}
			out[x] = d
		}
	}
}

// allInk tells whether every pixel is ink, eight at a time.
func allInk(row []uint8) bool {
	x := 0
	for ; x+8 <= len(row); x += 8 {
		if binary.LittleEndian.Uint64(row[x:])&highBits != highBits {
			return false
		}
	}
	for ; x < len(row); x++ {
		if row[x] < 128 {
			return false
		}
	}
	return true
}

func allZero(row []float32) bool {
	for _, d := range row {
		if d != 0 {
			return false
		}
	}
	return true
}

// envelope is the lower envelope of a row's parabolas: at[k] is the column of the k-th, from[k] where it begins.
type envelope struct {
	height []float64
	at     []int
	from   []float64
}

func newEnvelope(width int) *envelope {
	return &envelope{make([]float64, width), make([]int, width), make([]float64, width)}
}

// row turns the column distances of one row into Euclidean ones.
func (e *envelope) row(dist []float32, pitch, limit float64) {
	if allZero(dist) {
		return
	}
	n := 0
	for x, d := range dist {
		if math.IsInf(float64(d), 1) || d == 0 && x > 0 && x+1 < len(dist) && dist[x-1] == 0 && dist[x+1] == 0 {
			continue // what lies amid ink is nearest to nothing else
		}
		e.height[x] = float64(d) * float64(d)
		n = e.push(n, x, pitch)
	}
	if n == 0 {
		return
	}
	most, k := float64(limit*limit), 0
	for x, d := range dist {
		for k+1 < n && e.from[k+1] <= float64(x) {
			k++
		}
		if d == 0 {
			continue
		}
		dx := float64(x-e.at[k]) * pitch
		q := float64(dx*dx) + e.height[e.at[k]]
		if dist[x] = float32(math.Sqrt(q)); q > most {
			dist[x] = float32(math.Inf(1))
		}
	}
}

// push adds column x to an envelope of n parabolas and gives its new length.
func (e *envelope) push(n, x int, pitch float64) int {
	for n > 0 {
		q := e.at[n-1]
		gain := (e.height[x] - e.height[q]) / (pitch * pitch)
		start := (gain/float64(x-q) + float64(x+q)) / 2
		if start > e.from[n-1] {
			e.at[n], e.from[n] = x, start
			return n + 1
		}
		n--
	}
	e.at[0], e.from[0] = x, math.Inf(-1)
	return 1
}

// highBits is the top bit of eight bytes.
const highBits = 0x8080_8080_8080_8080
