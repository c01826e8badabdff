package draw

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/font/gofont/gobold"
)

// bee is the stencil while it is drawn: one ink, and cuts down to the ground.
type bee struct {
	*canvas
	ink color.NRGBA
}

// The bee sits upright on the axis x = 1200. At 200 mm wide the piece has 12 px to the millimetre.
const (
	beePX   = 2400
	beeAxis = 1200
	veinPX  = 7 // 0.58 mm
)

// BeeStencil draws a honeybee from above in a hexagon: black on a transparent ground, 2400 x 2400 px. Its parts are
// parted by bridges, as in a stencil cut by hand.
func BeeStencil() *image.NRGBA {
	b := &bee{canvas: &canvas{w: beePX, h: beePX}, ink: color.NRGBA{A: 255}}
	b.hexagons()
	b.comb()
	for _, left := range []bool{true, false} {
		b.legs(left)
		b.wing(hindWing(), left)
		b.wing(foreWing(), left)
		b.antenna(left)
	}
	b.abdomen()
	b.thorax()
	b.head()
	b.lettering()
	return b.render()
}

// half gives a figure drawn for the left side, or its mirror image.
func half(s shape, left bool) shape {
	if left {
		return s
	}
	return s.mirrored(beeAxis)
}

// hexagons draw the frame: a heavy ring, a fine one inside, and bridges cut through the heavy one at its corners.
func (b *bee) hexagons() {
	c := pt{beeAxis, 1200}
	hex := func(r float64) []pt { return polygon(c, r, 6, -math.Pi/2) }
	b.fill(b.ink, shape{hex(1160), reversed(hex(1078))})
	b.fill(b.ink, shape{hex(1052), reversed(hex(1043))})
	for _, corner := range hex(1120) {
		out := corner.sub(c).mul(1.0 / 1120)
		b.cut(stroke([]pt{c.add(out.mul(1062)), c.add(out.mul(1200))}, 26))
	}
}

// comb draws loose cells in the upper and lower flanks, some of them full.
func (b *bee) comb() {
	const pitch = 62.0
	for _, cell := range []struct {
		q, r int
		full bool
	}{
		{0, 0, true}, {1, 0, false}, {0, 1, false}, {1, 1, true}, {2, 0, false}, {-1, 2, false}, {0, 2, true}, {2, 1, false},
		{-1, 3, false}, {1, 2, false}, {0, 3, false}, {-1, 4, true},
	} {
		at := pt{360 + pitch*1.732*(float64(cell.q)+float64(cell.r)/2), 1250 + pitch*1.5*float64(cell.r)}
		for _, left := range []bool{true, false} {
			b.cell(at, pitch, cell.full, left)
		}
	}
}

func (b *bee) cell(at pt, pitch float64, full, left bool) {
	wall := polygon(at, pitch-6, 6, -math.Pi/2)
	if full {
		b.fill(b.ink, half(shape{wall}, left))
		b.cut(half(taper(arc(at, pitch*0.48, pitch*0.48, math.Pi*1.05, math.Pi*1.6, 0), pitch*0.16, 5), left))
		return
	}
	b.fill(b.ink, half(shape{wall, reversed(polygon(at, pitch-17, 6, -math.Pi/2))}, left))
}

// abdomen draws six bands that narrow to the sting, parted by bridges.
func (b *bee) abdomen() {
	const top, foot = 1010.0, 1620.0
	halfWidth := func(y float64) float64 {
		t := (y - top) / (foot - top)
		return 208 * math.Pow(math.Sin(math.Pi*(0.16+0.84*min(t, 1))), 0.72)
	}
	edges := []float64{0, 0.15, 0.325, 0.5, 0.665, 0.815, 0.97}
	b.cut(outline(bandOf(top, foot, halfWidth), 30))
	for i := range 6 {
		y0, y1 := top+(foot-top)*edges[i]+11, top+(foot-top)*edges[i+1]-11
		b.fill(b.ink, bandOf(y0, y1, halfWidth))
		if i > 0 && i < 5 {
			mid := mix(y0, y1, 0.42)
			b.hairs(mid, halfWidth(mid))
		}
	}
	b.fill(b.ink, swell([]pt{{beeAxis, 1612}, {beeAxis, 1640}, {beeAxis, 1690}}, 16))
}

// bandOf is a slice of the abdomen whose edges sag towards the tail.
func bandOf(y0, y1 float64, halfWidth func(float64) float64) shape {
	const n = 24
	sag := func(x, w float64) float64 { return 34 * (1 - (x/w)*(x/w)) }
	var upper, right, lower, left []pt
	w0, w1 := halfWidth(y0), halfWidth(y1)
	for i := range n + 1 {
		t := 2*float64(i)/n - 1
		upper = append(upper, pt{beeAxis + w0*t, y0 + sag(w0*t, w0) - 20})
		lower = append(lower, pt{beeAxis - w1*t, y1 + sag(w1*t, w1) - 20})
	}
	for i := 1; i < n; i++ {
		y := mix(y0, y1, float64(i)/n)
		right = append(right, pt{beeAxis + halfWidth(y), y - 20})
		left = append(left, pt{beeAxis - halfWidth(y0+y1-y), y0 + y1 - y - 20})
	}
	line := append(upper, right...)
	line = append(line, lower...)
	return shape{append(line, left...)}
}

// hairs cut a row of short light strokes into a band.
func (b *bee) hairs(y, w float64) {
	for i := -7; i <= 7; i++ {
		x := float64(i) / 8 * w
		from := pt{beeAxis + x, y - 12 + 34*(1-x*x/(w*w))}
		b.cut(taper([]pt{from, from.add(pt{x * 0.03, 26})}, 8, 4))
	}
}

// thorax is a furry ball: a ragged rim and rows of cut hairs around a bare shield.
func (b *bee) thorax() {
	c := pt{beeAxis, 850}
	var rim []pt
	for i := range 120 {
		r := 168.0
		if i%2 == 1 {
			r = 143 + 8*hash(i, 3, 9)
		}
		p := polar(pt{}, r, 2*math.Pi*float64(i)/120)
		rim = append(rim, c.add(pt{p.x * 1.04, p.y * 0.93}))
	}
	b.cut(ellipse(c, 188, 170, 0))
	b.fill(b.ink, shape{rim})
	for ringNo, r := range []float64{74, 104} {
		n := 22 + 12*ringNo
		for i := range n {
			a := 2 * math.Pi * (float64(i) + 0.5*float64(ringNo)) / float64(n)
			b.cut(taper([]pt{polar(c, r, a), polar(c, r+24, a+0.05)}, 8, 4))
		}
	}
	b.cut(ring(c, 44, 52))
	b.fill(b.ink, stroke([]pt{c.add(pt{0, -60}), c.add(pt{0, 60})}, 20))
}

// head is a rounded triangle with two big eyes and three small ones.
func (b *bee) head() {
	skull := smoothLoop(pt{1200, 560}, pt{1290, 570}, pt{1340, 630}, pt{1312, 690}, pt{1200, 706}, pt{1088, 690},
		pt{1060, 630}, pt{1110, 570})
	b.fill(b.ink, shape{skull})
	for _, left := range []bool{true, false} {
		eye := smoothLoop(pt{1108, 592}, pt{1136, 608}, pt{1134, 652}, pt{1108, 676}, pt{1086, 660}, pt{1086, 614})
		b.cut(half(outline(shape{eye}, 9), left))
		b.cut(half(taper(bezier(pt{1102, 614}, pt{1096, 626}, pt{1096, 640}, pt{1101, 652}), 9, 5), left))
		b.fill(b.ink, half(taper(bezier(pt{1188, 562}, pt{1180, 540}, pt{1184, 528}, pt{1196, 518}), 16, 7), left))
	}
	for _, at := range []pt{{1200, 664}, {1178, 640}, {1222, 640}} {
		b.cut(circle(at, 8))
	}
	b.cut(taper([]pt{{1152, 596}, {1200, 588}, {1248, 596}}, 8, 8))
}

func (b *bee) antenna(left bool) {
	b.fill(b.ink, half(taper(bezier(pt{1168, 572}, pt{1150, 520}, pt{1128, 490}, pt{1102, 470}), 17, 13), left))
	b.fill(b.ink, half(taper(bezier(pt{1092, 462}, pt{1050, 420}, pt{1020, 380}, pt{1012, 330}), 15, 22), left))
	for i := range 5 {
		p := bezier(pt{1092, 462}, pt{1050, 420}, pt{1020, 380}, pt{1012, 330})
		k := len(p) * (i + 1) / 6
		d := p[k].sub(p[k-1])
		n := pt{-d.y, d.x}.mul(20 / d.size())
		b.cut(half(stroke([]pt{p[k].sub(n), p[k].add(n)}, 5), left))
	}
}

// lettering sets the two lines of the name at the foot.
func (b *bee) lettering() {
	face := newLetters(gobold.TTF)
	for _, l := range []struct {
		text            string
		em, track, base float64
	}{{"BRINDLEWICK", 128, 22, 1846}, {"HONEY", 156, 36, 2010}} {
		text, width := face.set(l.text, l.em, l.track)
		b.fill(b.ink, text.placed(pt{beeAxis - width/2, l.base}, 1, 0))
	}
	for _, left := range []bool{true, false} {
		b.cell(pt{806, 1955}, 38, true, left)
	}
}
