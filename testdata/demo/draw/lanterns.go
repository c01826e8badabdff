package draw

import (
	"image"
	"math"
)

// The night piece is laid out in units of its width: u 0..1 to the right, v 0..1.2 down.
const (
	nightW, nightH = 3000, 3600
	shoreV         = 0.735 // the far shore, where the lake begins
)

// night is the scene while it is computed: light per pixel.
type night struct {
	lights []light
	hues   hues
}

// hues are the scene's colours that are asked for at every pixel.
type hues struct {
	cloud, ember, orchid          light // clouds: their body, and their undersides low and high in the sky
	starCool, starWarm            light
	mistWarm, mistCool            light
	deep, glint, wet              light // the lake: its depth, sparks of the sky on it, the far waterline
	flame, raft                   light
	turf, root, tip, lanternOnTip light // the near shore
}

func newHues() hues {
	return hues{
		cloud: lit(0x3a2068), ember: lit(0xff7a4a), orchid: lit(0xc03a8e),
		starCool: lit(0xcfd9ff), starWarm: lit(0xffe3c4),
		mistWarm: lit(0xf2a48c), mistCool: lit(0xb77bc0),
		deep: lit(0x101a4a), glint: lit(0xffc37a), wet: lit(0xffb98a),
		flame: lit(0xfff3d0), raft: lit(0x1c0d14),
		turf: lit(0x14401f), root: lit(0x0b2016), tip: lit(0x3f8f3c), lanternOnTip: lit(0xffb050),
	}
}

// LanternNight draws paper lanterns over a lake at dusk: continuous tone with a soft, brushed alpha edge, made for a
// black garment, 3000 x 3600 px.
func LanternNight() *image.NRGBA {
	n := &night{lights: make([]light, nightW*nightH), hues: newHues()}
	n.sky()
	n.ridges()
	for _, l := range aloft() {
		n.hang(l)
	}
	n.mist()
	n.lake()
	for _, l := range afloat() {
		n.float(l)
	}
	n.reeds()
	return n.develop()
}

// each calls f for every pixel of rows y0 to y1, bands side by side, with its place in units of the width, and keeps
// what f gives.
func (n *night) each(y0, y1 int, f func(u, v float64, was light) light) {
	n.within(0, nightW, y0, y1, f)
}

// within is each for columns x0 to x1 alone.
func (n *night) within(x0, x1, y0, y1 int, f func(u, v float64, was light) light) {
	inBands(y1-y0, func(a, b int) {
		for y := y0 + a; y < y0+b; y++ {
			row := n.lights[y*nightW:][:nightW]
			v := (float64(y) + 0.5) / nightW
			for x := x0; x < x1; x++ {
				row[x] = f((float64(x)+0.5)/nightW, v, row[x])
			}
		}
	})
}

func rowOf(v float64) int { return min(max(int(v*nightW), 0), nightH) }

func columnOf(u float64) int { return min(max(int(u*nightW), 0), nightW) }

// at gives the light at a place, mixed from the four nearest pixels; outside, from those at the edge.
func (n *night) at(u, v float64) light {
	x := min(max(u*nightW-0.5, 0), nightW-2)
	y := min(max(v*nightW-0.5, 0), nightH-2)
	ix, iy := int(x), int(y)
	upper, lower := n.lights[iy*nightW+ix:][:2], n.lights[(iy+1)*nightW+ix:][:2]
	return upper[0].mix(upper[1], x-float64(ix)).mix(lower[0].mix(lower[1], x-float64(ix)), y-float64(iy))
}

// develop turns light into bytes and lets the picture fade out at a brushed edge.
func (n *night) develop() *image.NRGBA {
	out := image.NewNRGBA(image.Rect(0, 0, nightW, nightH))
	enc := newEncoder()
	inBands(nightH, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range nightW {
				alpha := brushed((float64(x)+0.5)/nightW, (float64(y)+0.5)/nightW)
				px := enc.bytes(n.lights[y*nightW+x], alpha)
				copy(out.Pix[out.PixOffset(x, y):], []uint8{px.R, px.G, px.B, px.A})
			}
		}
	})
	return out
}

// brushed is the alpha of the picture's edge: a rounded frame whose border is dragged out in strokes of dry bristles.
func brushed(u, v float64) float64 {
	x, y := math.Abs(u-0.5)/0.5, math.Abs(v-0.6)/0.6
	inside := 1 - math.Sqrt(math.Sqrt(x*x*x*x+y*y*y*y))
	if inside > 0.42 {
		return 1
	}
	tilt := v + 0.06*u
	stroke := clouded(u*1.3+3, tilt*13, 3, 71) - 0.5
	bristle := clouded(u*5+9, tilt*170, 2, 83) - 0.5
	return ramp(0, 0.05, inside) * ramp(0.03, 0.26, inside+0.2*stroke+0.13*bristle)
}
