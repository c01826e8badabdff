package draw

import "math"

// banner draws the ribbon across the foot of the badge with the words ORCHARD FAIR.
func (f *fair) banner() {
	const high, halfW = 400.0, 1330.0
	bend := func(p pt) pt { // the ribbon sags: higher at its ends
		t := p.x / halfW
		return pt{f.centre.x + p.x, 3010 + p.y - 95*t*t}
	}
	for _, side := range []float64{-1, 1} {
		f.tail(side, bend)
	}
	band := shape{{{-halfW, -high / 2}, {halfW, -high / 2}, {halfW, high / 2}, {-halfW, high / 2}}}.dense().moved(bend)
	f.edged(f.red, f.blue, 20, band)
	for _, y := range []float64{-high/2 + 34, high/2 - 34} {
		rule := shape{{{-halfW + 30, y}, {halfW - 30, y}}}.dense()[0]
		f.line(f.gold, finePX+2, shape{rule[:len(rule)/2]}.moved(bend)[0])
	}
	text, width := f.face.set("ORCHARD FAIR", 290, 14)
	words := text.dense().moved(func(p pt) pt { return bend(pt{p.x - width/2, p.y + 104}) })
	shade := words.moved(func(p pt) pt { return p.add(pt{11, 13}) })
	f.edged(f.blue, f.blue, 14, shade)
	f.edged(f.cream, f.cream, 12, words)
}

// tail draws the fold and the swallow tail of the ribbon on one side.
func (f *fair) tail(side float64, bend func(pt) pt) {
	p := func(x, y float64) pt { return pt{side * x, y} }
	back := shape{clockwise([]pt{p(1080, -120), p(1565, -120), p(1440, 70), p(1565, 260), p(1080, 260)})}
	f.edged(f.red, f.blue, 20, back.dense().moved(bend))
	for _, y := range []float64{-92, 232} {
		rule := shape{{p(1340, y), p(1500, y)}}.dense()[0]
		f.line(f.gold, finePX+2, shape{rule[:len(rule)/2]}.moved(bend)[0])
	}
	fold := shape{clockwise([]pt{p(1330, 200), p(1090, 200), p(1090, 262)})}
	f.edged(f.blue, f.blue, 12, fold.dense().moved(bend))
}

// footer draws the plate with the small row of text, and the sprigs below it.
func (f *fair) footer() {
	centre := pt{f.centre.x, 3440}
	text, width := f.face.set("EST. ON A SUNNY HILL · CIDER · MUSIC · PIES", 86, 7)
	plate := stroke([]pt{centre.sub(pt{width / 2, 0}), centre.add(pt{width / 2, 0})}, 172)
	f.fill(f.blue, plate)
	f.fill(f.gold, stroke([]pt{centre.sub(pt{width / 2, 0}), centre.add(pt{width / 2, 0})}, 148))
	f.fill(f.cream, stroke([]pt{centre.sub(pt{width / 2, 0}), centre.add(pt{width / 2, 0})}, 134))
	f.fill(f.blue, text.placed(centre.add(pt{-width / 2, 31}), 1, 0))
	for _, side := range []float64{-1, 1} {
		f.sprig(pt{f.centre.x, 3700}, side)
	}
	f.apple(pt{f.centre.x, 3705}, 112, 0, true)
}

// sprig is a twig with leaves, blossoms and small apples that runs outward from at.
func (f *fair) sprig(at pt, side float64) {
	twig := bezier(at, at.add(pt{side * 300, 90}), at.add(pt{side * 600, 60}), at.add(pt{side * 930, -60}))
	f.fill(f.green, taper(twig, 16, 7))
	for i := range 9 {
		p := twig[(i+2)*(len(twig)-1)/11]
		f.leaf(p, 128, outward(side, 0.8*other(i)-0.1), f.green, f.cream, f.cream)
	}
	f.leaf(twig[len(twig)-1], 110, outward(side, -0.35), f.green, f.cream, f.cream)
	f.apple(twig[len(twig)*4/10].add(pt{0, -20}), 50, 0.25*side, false)
	f.apple(twig[len(twig)*8/10].add(pt{0, 12}), 42, 0.3*side, false)
	f.blossom(twig[len(twig)*6/10], 36, f.cream)
}

// outward gives a heading of angle radians below the level, to the right for side 1 and mirrored for -1.
func outward(side, angle float64) float64 {
	if side < 0 {
		return math.Pi - angle
	}
	return angle
}
