package draw

import (
	"image/color"
	"math"
)

// frame draws the rings and the name that runs along their top.
func (f *fair) frame() {
	f.scallops()
	f.fill(f.blue, ring(f.centre, sceneR, discR))
	for _, r := range []struct {
		ink         color.NRGBA
		radius, pen float64
	}{
		{f.cream, sceneR + 6, 22}, {f.gold, sceneR + 32, finePX}, {f.gold, discR - 26, finePX}, {f.cream, discR - 46, hairPX},
	} {
		f.fill(r.ink, ring(f.centre, r.radius-r.pen/2, r.radius+r.pen/2))
	}
	f.name()
	f.garland(-1)
	f.garland(1)
}

// scallops edge the badge: half discs with a bead in each.
func (f *fair) scallops() {
	const n = 96
	hidden := f.centre.y + 1300 // the banner covers the foot of the badge
	for _, at := range polygon(f.centre, discR+4, n, math.Pi/n) {
		if at.y < hidden {
			f.fill(f.red, circle(at, 50))
		}
	}
	for _, at := range polygon(f.centre, discR+24, n, math.Pi/n) {
		if at.y < hidden {
			f.fill(f.cream, circle(at, 10))
		}
	}
}

// name sets BRINDLEWICK along the ring, with a red drop shade and a golden inline.
func (f *fair) name() {
	text, width := f.face.set("BRINDLEWICK", 312, 56)
	bent := arched(text, width, f.centre, 1252)
	for _, s := range []float64{18, 12, 6} {
		shade := bent.moved(func(p pt) pt { return p.add(pt{s, s}) })
		f.fill(f.red, shade)
		f.fill(f.red, outline(shade, 16))
	}
	f.fill(f.blue, outline(bent, 34))
	f.edged(f.cream, f.cream, 16, bent)
}

// garland runs a sprig of leaves, blossoms and apples down one side of the ring; side is -1 left or 1 right.
func (f *fair) garland(side float64) {
	mid := (sceneR + discR) / 2.0
	at := func(a, r float64) pt { return polar(f.centre, r, math.Pi/2-side*a) }
	const from, to = 0.62, 1.68 // radians up from the foot of the ring
	var twig []pt
	for i := range 41 {
		a := from + (to-from)*float64(i)/40
		twig = append(twig, at(a, mid+22*math.Sin(a*9)))
	}
	f.fill(f.gold, taper(twig, 15, 6))
	for i := range 15 {
		a := from + 0.04 + (to-from-0.06)*float64(i)/15
		upward := math.Pi/2 - side*(a+math.Pi/2)
		f.leaf(at(a, mid+22*math.Sin(a*9)), 150, upward+side*0.75*other(i), f.green, f.cream, f.cream)
	}
	for i, a := range []float64{0.86, 1.22, 1.56} {
		f.apple(at(a, mid+float64(40-80*(i%2))), 66, 0.2*side, false)
	}
	for _, a := range []float64{0.74, 1.04, 1.40} {
		f.blossom(at(a, mid-26), 40, f.cream)
	}
	f.star(at(1.79, mid), 52, f.gold)
}

// other goes -1, 1, -1 and so on.
func other(i int) float64 { return float64(2*(i%2) - 1) }

func (f *fair) star(at pt, r float64, ink color.NRGBA) {
	var line []pt
	for i := range 10 {
		size := r
		if i%2 == 1 {
			size = r * 0.45
		}
		line = append(line, polar(at, size, -math.Pi/2+math.Pi*float64(i)/5))
	}
	f.fill(ink, shape{line})
}

// bunting hangs flags from the frame into the crown on both sides.
func (f *fair) bunting() {
	for _, side := range []float64{-1, 1} {
		at := func(x, y float64) pt { return pt{f.centre.x + side*x, y} }
		rope := bezier(at(1190, 1180), at(1000, 1560), at(800, 1660), at(420, 1500))
		inks := []color.NRGBA{f.red, f.cream, f.green, f.gold}
		step := len(rope) / 10
		for i := range 9 {
			a, b := rope[i*step+2], rope[i*step+step-1]
			down := pt{b.y - a.y, a.x - b.x}.mul(side)
			tip := a.lerp(b, 0.5).add(down.mul(1.25))
			f.edged(inks[i%4], f.blue, finePX, shape{{a, tip, b}})
		}
		f.line(f.blue, ruledPX, rope)
	}
}

// tent draws a striped tent with a pennant; at is the middle of its foot.
func (f *fair) tent(at pt, k float64) {
	p := func(x, y float64) pt { return at.add(pt{x, y}.mul(k)) }
	f.line(f.blue, 9, []pt{p(0, -300), p(0, -410)})
	f.edged(f.red, f.blue, finePX, shape{{p(4, -408), p(110, -375), p(4, -342)}})
	f.edged(f.cream, f.blue, ruledPX, shape{{p(-165, -150), p(165, -150), p(150, 40), p(-150, 40)}})
	f.edged(f.cream, f.blue, ruledPX, shape{{p(0, -310), p(215, -150), p(-215, -150)}})
	for i := range 7 {
		x0, x1 := -215+430*float64(i)/7, -215+430*float64(i+1)/7
		if i%2 == 0 {
			f.fill(f.red, shape{{p(0, -306), p(x1, -150), p(x0, -150)}})
		} else {
			f.fill(f.red, shape{{p(x0*0.76, -144), p(x1*0.76, -144), p(x1*0.7, 34), p(x0*0.7, 34)}})
		}
	}
	for i := range 7 {
		f.edged(f.gold, f.blue, finePX, shape{arc(p(430*(float64(i)+0.5)/7-215, -150), 30.7*k, 34*k, 0, math.Pi, 0)})
	}
	f.fill(f.blue, shape{{p(0, -110), p(58, 40), p(-58, 40)}})
}
