package draw

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"

	"golang.org/x/image/font/gofont/gobold"
)

// The fair's poster is laid out for a print 280 mm wide: 3300 px, 11.8 px to the millimetre.
const (
	fairW, fairH = 3300, 3900
	hairPX       = 4.5 // 0.38 mm, the finest line
	finePX       = 7   // 0.59 mm
	ruledPX      = 13  // 1.1 mm, contours
	sceneR       = 1180
	discR        = 1550
)

// fair is the poster while it is drawn: five inks on a canvas.
type fair struct {
	*canvas
	rng                           *rand.Rand
	face                          *letters
	cream, red, green, gold, blue color.NRGBA
	centre                        pt // of the badge
}

// OrchardFair draws the poster of the Brindlewick Orchard Fair: five flat inks on a transparent ground, 3300 x 3900 px.
func OrchardFair() *image.NRGBA {
	f := &fair{
		canvas: &canvas{w: fairW, h: fairH},
		rng:    rand.New(rand.NewPCG(1, 1848)),
		face:   newLetters(gobold.TTF),
		cream:  rgb(0xf4e7c5), red: rgb(0xc8322b), green: rgb(0x3f7d3a), gold: rgb(0xe8a92c), blue: rgb(0x1f3a5f),
		centre: pt{1650, 1640},
	}
	f.sky()
	f.hills()
	f.tent(pt{905, 2085}, 1)
	f.bunting()
	f.meadow()
	f.tree()
	f.ladder()
	f.basket(pt{2190, 2440})
	f.windfalls()
	f.trimScene()
	f.frame()
	f.banner()
	f.footer()
	return f.render()
}

// sky is the scene's ground: rays from a sun low on the left.
func (f *fair) sky() {
	f.fill(f.cream, circle(f.centre, sceneR+30))
	sun := pt{1060, 1800}
	const rays = 30
	for i := range rays {
		a := 2 * math.Pi * (float64(i) + 0.25) / rays
		f.fill(f.gold, shape{{sun, polar(sun, 2600, a), polar(sun, 2600, a+math.Pi/rays)}})
	}
	f.fill(f.cream, circle(sun, 330))
	f.fill(f.gold, ring(sun, 292, 304))
	f.edged(f.gold, f.red, ruledPX, circle(sun, 255))
	f.line(f.red, finePX, arc(sun, 215, 215, math.Pi*1.05, math.Pi*1.7, 0))
	f.line(f.red, hairPX, arc(sun, 190, 190, math.Pi*1.1, math.Pi*1.55, 0))
	for _, at := range []pt{{2570, 1790}, {2665, 1725}, {2700, 1830}} {
		f.bird(at, 46)
	}
}

func (f *fair) bird(at pt, span float64) {
	for _, side := range []float64{-1, 1} {
		wing := bezier(at, at.add(pt{side * span * 0.3, -span * 0.55}), at.add(pt{side * span * 0.8, -span * 0.6}),
			at.add(pt{side * span, -span * 0.2}))
		f.fill(f.blue, taper(wing, 11, 4))
	}
}

// ground closes a skyline down to the foot of the scene.
func ground(skyline []pt) shape {
	return shape{append(append([]pt{}, skyline...), pt{3100, 3000}, pt{300, 3000})}
}

func (f *fair) hills() {
	far := smooth(pt{300, 2010}, pt{700, 1870}, pt{1100, 1950}, pt{1600, 1900},
		pt{2150, 1830}, pt{2600, 1930}, pt{3100, 1900})
	f.fill(f.blue, ground(far))
	for row := range 3 { // an orchard far off: rows of round crowns
		for x := 330.0; x < 3000; x += 62 {
			at := pt{x + 31*float64(row%2), skylineAt(far, x) + 52 + 62*float64(row)}
			f.fill(f.green, circle(at, 25))
			f.line(f.cream, hairPX, arc(at, 17, 17, math.Pi*1.1, math.Pi*1.6, 0))
		}
	}
	middle := smooth(pt{300, 2130}, pt{800, 2075}, pt{1350, 2150}, pt{1900, 2080}, pt{2350, 2010}, pt{3100, 2110})
	f.edged(f.gold, f.blue, ruledPX, ground(middle))
	for i := range 34 { // furrows run to a point beyond the hill
		a := pt{-300 + 120*float64(i), 2520}
		b := pt{1000 + 40*float64(i), 0}
		b.y = skylineAt(middle, b.x) + 14
		ctrl := pt{a.x*0.3 + b.x*0.7, 2300}
		f.line(f.cream, finePX, bezier(a, ctrl, ctrl, b))
	}
	near := smooth(pt{300, 2330}, pt{900, 2250}, pt{1650, 2190}, pt{2300, 2230}, pt{3100, 2330})
	f.edged(f.green, f.blue, ruledPX, ground(near))
}

// skylineAt gives the height of a line that runs left to right at x; beyond its ends, that of the end.
func skylineAt(line []pt, x float64) float64 {
	for i := range len(line) - 1 {
		if a, b := line[i], line[i+1]; x < b.x && b.x > a.x {
			return a.lerp(b, max(0, (x-a.x)/(b.x-a.x))).y
		}
	}
	return line[len(line)-1].y
}

// meadow covers the near hill with strokes of grass and small flowers.
func (f *fair) meadow() {
	for range 900 {
		at := pt{480 + 2340*f.rng.Float64(), 2285 + 430*f.rng.Float64()}
		size := 20 + (at.y-2250)*0.09
		lean := (f.rng.Float64() - 0.5) * size
		blade := bezier(at, at.add(pt{0, -size * 0.5}), at.add(pt{lean * 0.4, -size * 0.9}), at.add(pt{lean, -size}))
		f.fill(f.pick(f.blue, f.blue, f.gold, f.cream), taper(blade, finePX, 3.6))
	}
	for range 46 {
		at := pt{520 + 2260*f.rng.Float64(), 2330 + 330*f.rng.Float64()}
		f.blossom(at, 15+5*f.rng.Float64(), f.pick(f.cream, f.cream, f.red))
	}
}

func (f *fair) pick(inks ...color.NRGBA) color.NRGBA { return inks[f.rng.IntN(len(inks))] }

// blossom is a flower of five petals of radius r with a golden heart.
func (f *fair) blossom(at pt, r float64, ink color.NRGBA) {
	turn := f.rng.Float64() * 2
	for _, petal := range polygon(at, r*0.8, 5, turn) {
		f.fill(ink, circle(petal, r*0.56))
	}
	f.fill(f.gold, circle(at, r*0.45))
}

// trimScene cuts off what hangs out of the round frame.
func (f *fair) trimScene() {
	hole := circle(f.centre, sceneR+10)[0]
	f.cut(shape{{{-10, -10}, {fairW + 10, -10}, {fairW + 10, fairH + 10}, {-10, fairH + 10}}, reversed(hole)})
}
