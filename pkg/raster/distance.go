package raster

import (
	"math"
	"runtime"
	"sync"
)

// Distance gives, for every pixel, the distance to the nearest pixel that is ink (coverage >= 128), centre to centre,
// exact, in the unit of xPitch and yPitch: the width and height of a pixel, for example in mm. Ink itself is 0; a
// plane without ink is +Inf throughout. The result has the plane's layout.
//
// Source: A. Meijster, J. Roerdink, W. Hesselink, "A general algorithm for computing distance transforms in linear
// time" (2000), with unequal pitches; columns first, then the lower envelope of parabolas along rows.
func Distance(p *Plane, xPitch, yPitch float64) []float32 {
	dist := make([]float32, len(p.Pix))
	parallelRows(p.Width, func(x0, x1 int) { columnDistances(p, dist, float32(yPitch), x0, x1) })
	parallelRows(p.Height, func(y0, y1 int) {
		e := newEnvelope(p.Width)
		for y := y0; y < y1; y++ {
			e.row(dist[y*p.Width:(y+1)*p.Width], xPitch)
		}
	})
	return dist
}

// columnDistances writes each pixel's distance to the nearest ink in its own column, columns x0 to x1.
func columnDistances(p *Plane, dist []float32, pitch float32, x0, x1 int) {
	inf := float32(math.Inf(1))
	for x := x0; x < x1; x++ {
		run := inf
		for i := x; i < len(dist); i += p.Width {
			if run += pitch; p.Pix[i] >= 128 {
				run = 0
			}
			dist[i] = run
		}
		run = inf
		for i := len(dist) - p.Width + x; i >= 0; i -= p.Width {
			if run += pitch; dist[i] == 0 {
				run = 0
			}
			dist[i] = min(dist[i], run)
		}
	}
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
func (e *envelope) row(dist []float32, pitch float64) {
	n := 0
	for x, d := range dist {
		e.height[x] = float64(d) * float64(d)
		if math.IsInf(e.height[x], 1) {
			continue
		}
		n = e.push(n, x, pitch)
	}
	if n == 0 {
		return
	}
	k := 0
	for x := range dist {
		for k+1 < n && e.from[k+1] <= float64(x) {
			k++
		}
		dx := float64(x-e.at[k]) * pitch
		dist[x] = float32(math.Sqrt(float64(dx*dx) + e.height[e.at[k]]))
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

// parallelRows calls work on disjoint parts of 0..n, one a core, and waits. What work writes must not depend on the
// division.
func parallelRows(n int, work func(from, to int)) {
	parts := min(runtime.GOMAXPROCS(0), max(n, 1))
	var wg sync.WaitGroup
	for i := range parts {
		wg.Add(1)
		go func() {
			defer wg.Done()
			work(n*i/parts, n*(i+1)/parts)
		}()
	}
	wg.Wait()
}
