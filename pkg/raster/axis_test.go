package raster

import (
	"math"
	"testing"
)

func TestAxisSamplesAtPixelCentres(t *testing.T) {
	for _, c := range []struct {
		size, count int
		exact       float64
	}{{100, 480, 480}, {100, 333, 333.4}, {7, 7, 7}, {300, 1440, 1439.6}} {
		a := NewAxis(c.size, c.count, c.exact, 1, 0)
		for i := range c.count {
			want := (float64(i)+0.5)*float64(c.size)/c.exact - 0.5
			want = math.Min(math.Max(want, 0), float64(c.size-1))
			got := float64(a.Index[i]) + float64(a.Weight[i])/32
			if math.Abs(got-want) > 1.0/64+1e-9 {
				t.Errorf("%d over %g: pixel %d samples %g, want %g (tolerance half a 32nd)", c.size, c.exact, i, got, want)
			}
		}
	}
}
