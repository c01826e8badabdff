package film

import (
	"fmt"
	"math"
	"testing"

	"tamis/pkg/artwork"
	"tamis/pkg/raster"
	"tamis/pkg/separate"
)

// known is a shape with its signed distance, inside negative. All in millimetres, about the middle of a print of
// 16 x 16 mm.
type known struct {
	name    string
	signed  func(x, y float64) float64
	corners func(chokeMM float64) [][2]float64 // of the choked shape; nil: none
}

// polygon is a convex polygon, its corners clockwise on the film.
func polygon(name string, corners ...[2]float64) known {
	n := len(corners)
	return known{name: name, signed: func(x, y float64) float64 {
		inside, least := true, math.Inf(1)
		for i, a := range corners {
			b := corners[(i+1)%n]
			ux, uy := b[0]-a[0], b[1]-a[1]
			vx, vy := x-a[0], y-a[1]
			if ux*vy-uy*vx < 0 {
				inside = false
			}
			t := min(max((ux*vx+uy*vy)/(ux*ux+uy*uy), 0), 1)
			least = min(least, math.Hypot(vx-t*ux, vy-t*uy))
		}
		if inside {
			return -least
		}
		return least
	}, corners: func(chokeMM float64) (list [][2]float64) {
		for i, a := range corners {
			u, v := unit(a, corners[(i+1)%n]), unit(a, corners[(i+n-1)%n])
			along := chokeMM / math.Abs(u[0]*v[1]-u[1]*v[0])
			list = append(list, [2]float64{a[0] + along*(u[0]+v[0]), a[1] + along*(u[1]+v[1])})
		}
		return list
	}}
}

func unit(from, to [2]float64) [2]float64 {
	long := math.Hypot(to[0]-from[0], to[1]-from[1])
	return [2]float64{(to[0] - from[0]) / long, (to[1] - from[1]) / long}
}

// rectangle is one of w x h turned by deg.
func rectangle(name string, w, h, deg float64) known {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	var corners [][2]float64
	for _, c := range [][2]float64{{-w / 2, -h / 2}, {w / 2, -h / 2}, {w / 2, h / 2}, {-w / 2, h / 2}} {
		corners = append(corners, [2]float64{c[0]*cos - c[1]*sin, c[0]*sin + c[1]*cos})
	}
	return polygon(name, corners...)
}

var knownShapes = []known{
	{name: "disk", signed: func(x, y float64) float64 { return math.Hypot(x-.13, y+.07) - 4.1 }},
	{name: "ring", signed: func(x, y float64) float64 {
		d := math.Hypot(x+.05, y-.11)
		return math.Max(d-5.3, 2.2-d)
	}},
	rectangle("square", 7.1, 7.1, 0),
	rectangle("turned rectangle", 9.3, 4.7, 24),
	polygon("wedge", [2]float64{-5.5, 4.3}, [2]float64{5.2, -3.4}, [2]float64{5.2, 4.3}),
}

// cornerPX is how far off, in source pixels, a corner may be: what the art itself rounds off of it. It is looked at
// within nearPX of it. Where a shape grows, what is rounded off lacks in full: tipPX is for a tip of 36 degrees, a right
// angle lacks half of it.
const cornerPX, tipPX, nearPX = 0.3, 1.6, 2

func TestChokedUnderbasesAreRightToADevicePixel(t *testing.T) {
	everyCase(t, []float64{0.1, 0.55}, func(c moveCase, mm float64) {
		c.job.chokeMM, c.job.garment, c.job.underbase = mm, "#17181a", separate.UnderbaseOn
		r, bits := c.job.films(t, c.art(redArt, bareNone))
		c.check(t, bits[plateOf(t, r, "white", separate.Underbase)], -mm, 0, cornerPX)
	})
}

func TestTrappedColoursReachUnderDarkerOnesToADevicePixel(t *testing.T) {
	everyCase(t, []float64{0.08, 0.3}, func(c moveCase, mm float64) {
		c.job.trapMM, c.job.garment, c.job.underbase = mm, "#ffffff", separate.UnderbaseOff
		r, bits := c.job.films(t, c.art(goldArt, navyArt))
		c.check(t, bits[plateOf(t, r, "gold", separate.Color)], mm, 0, tipPX)
		c.check(t, bits[plateOf(t, r, "navy", separate.Color)], 0, 0.2, 0.4)
	})
}

// moveCase is a known shape at a resolution, on a device.
type moveCase struct {
	known
	job  cutJob
	size int // of the art, in pixels
}

func everyCase(t *testing.T, moves []float64, run func(c moveCase, mm float64)) {
	for _, device := range [][2]float64{{1440, 1440}, {1440, 720}} {
		for _, ppi := range []float64{150, 300, 720} {
			if ppi == 720 && device[1] == 1440 {
				continue // both devices once is enough of the slowest
			}
			for _, s := range knownShapes {
				for _, mm := range moves {
					run(moveCase{s, cutJob{ppi: ppi, xDPI: device[0], yDPI: device[1]}, int(math.Round(16 / 25.4 * ppi))}, mm)
				}
			}
		}
	}
}

func (c moveCase) art(inside, outside paint) *artwork.Image {
	toMM := func(v float64) float64 { return (v - float64(c.size)/2) / c.job.ppi * 25.4 }
	return drawn(c.size, c.size, func(x, y float64) paint {
		if c.signed(toMM(x), toMM(y)) < 0 {
			return inside
		}
		return outside
	})
}

// check holds a plate to the shape grown by mm, or to the ground it leaves: edges to a device pixel or edgePX source
// pixels, corners to cornerPX of them.
func (c moveCase) check(t *testing.T, b *raster.Bitmap, mm, edgePX, cornerPX float64) {
	t.Helper()
	half := float64(c.size) / c.job.ppi * 25.4 / 2
	step := [2]float64{2 * half / float64(b.Width), 2 * half / float64(b.Height)}
	device1, source1 := math.Max(step[0], step[1]), 25.4/c.job.ppi
	outside := b.At(0, 0) // the plate is the ground
	edge, corner := 0.0, 0.0
	for y := range b.Height {
		for x := range b.Width {
			u, v := (float64(x)+.5)*step[0]-half, (float64(y)+.5)*step[1]-half
			d := c.signed(u, v) - mm
			switch {
			case b.At(x, y) == (d < 0 != outside):
			case c.corners != nil && nearest(c.corners(max(-mm, 0)), u, v) < nearPX*source1+max(mm, 0):
				corner = math.Max(corner, math.Abs(d))
			default:
				edge = math.Max(edge, math.Abs(d))
			}
		}
	}
	name := fmt.Sprintf("%s at %g ppi, %g x %g dpi, moved by %g mm", c.name, c.job.ppi, c.job.xDPI, c.job.yDPI, mm)
	t.Logf("%s: edges off by %.2f device px, corners by %.2f source px at most", name, edge/device1, corner/source1)
	if edge > math.Max(device1, edgePX*source1) || corner > math.Max(device1, cornerPX*source1) {
		t.Errorf("%s: edges off by %.2f device px (tolerance 1), corners by %.2f source px (tolerance %g or a device px)",
			name, edge/device1, corner/source1, cornerPX)
	}
}

func nearest(list [][2]float64, x, y float64) float64 {
	least := math.Inf(1)
	for _, p := range list {
		least = math.Min(least, math.Hypot(p[0]-x, p[1]-y))
	}
	return least
}
