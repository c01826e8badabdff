package film

import (
	"fmt"
	"math"
)

// barLabel is what stands at a check bar.
func barLabel(lengthMM float64) string { return fmt.Sprintf("%.0f mm", lengthMM) }

// reading draws an arrow to the print's top and says which side is the ink's where the text reads right: in two
// lines beside the arrow, or in three shorter ones. False where it does not fit.
func (t *table) reading() bool {
	face, head := regular(), bold()
	const em, high, pitch = 2.4, 5.8, 3.0
	side := "up"
	if t.l.Mirrored() {
		side = "down"
	}
	long, short := face.width("ink side down")*em, face.width("ink side")*em // of either side, so that no other mark moves
	if a := t.firstFree(t.places(6+long, high)); a.w > 0 {
		t.draw(a, func(c *canvas) {
			c.arrow(area{a.x, a.y, 5, high}, t.l.Rotated)
			head.set(&c.path, "TOP", a.x+6, a.y+2.2, em, false)
			face.set(&c.path, "ink side "+side, a.x+6, a.y+5.2, em, false)
		})
		return true
	}
	a := t.firstFree(append(t.places(6+short, high+pitch), t.sidePlaces(6+short, high+pitch)...))
	if a.w > 0 {
		t.draw(a, func(c *canvas) {
			c.arrow(area{a.x, a.y, 5, high}, t.l.Rotated)
			head.set(&c.path, "TOP", a.x+6, a.y+2.2, em, false)
			face.set(&c.path, "ink side", a.x+6, a.y+2.2+pitch, em, false)
			face.set(&c.path, side, a.x+6, a.y+2.2+2*pitch, em, false)
		})
	}
	return a.w > 0
}

// firstFree is the first of the places that is free; else one without width.
func (t *table) firstFree(places []area) area {
	for _, a := range places {
		if t.free(a) {
			return a
		}
	}
	return area{}
}

// arrow points up, or left where the print lies on its side.
func (c *canvas) arrow(a area, left bool) {
	shape := [][2]float64{{0.5, 0}, {1, 0.45}, {0.68, 0.45}, {0.68, 1}, {0.32, 1}, {0.32, 0.45}, {0, 0.45}}
	for i, p := range shape {
		x, y := p[0], p[1]
		if left {
			x, y = y, x
		}
		if x, y = a.x+x*a.w, a.y+y*a.h; i == 0 {
			c.move(x, y)
		} else {
			c.line(x, y)
		}
	}
}

// wedgeDots are the steps of the density wedge: how many of a block of 2 x 2 device pixels are ink, in reading order.
func wedgeDots() []int { return []int{3, 2, 1} }

// wedge draws a density wedge for the densitometer: a solid and then the device's own finest tints of 75, 50 and 25 %,
// which show how its ink runs; the solid alone where there is no room for the tints.
func (t *table) wedge() bool {
	const solidMM, stepMM = 8, 4
	for _, high := range []float64{6, 4} {
		if a := t.firstFree(t.places(solidMM+stepMM*float64(len(wedgeDots())), high)); a.w > 0 {
			t.draw(a, func(c *canvas) {
				c.rect(area{a.x, a.y, solidMM, a.h})
				for i, dots := range wedgeDots() {
					c.tint(area{a.x + solidMM + stepMM*float64(i), a.y, stepMM, a.h}, dots)
				}
			})
			return true
		}
		if a := t.firstFree(t.places(solidMM, high)); a.w > 0 {
			t.draw(a, func(c *canvas) { c.rect(a) })
			return true
		}
	}
	return false
}

// tint inks so many of every 2 x 2 device pixels: the first and the last before the others.
func (c *canvas) tint(a area, dots int) {
	x0, y0 := int(math.Round(a.x*c.perMM[0])), int(math.Round(a.y*c.perMM[1]))
	x1, y1 := int(math.Round(a.right()*c.perMM[0])), int(math.Round(a.bottom()*c.perMM[1]))
	rank := [4]int{0, 2, 3, 1}
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			if rank[y&1*2+x&1] < dots {
				c.bits.Set(x-c.x, y-c.y, true)
			}
		}
	}
}

// places lists where a mark w by h may lie: along the foot's right half, then its left, then along the head.
func (t *table) places(w, h float64) []area {
	var places []area
	for _, y := range [2]float64{t.h - t.my/2 - h/2, t.my/2 - h/2} {
		for _, half := range [2]float64{t.w / 2, 0} {
			for x := half + gapMM; x+w < half+t.w/2; x += gapMM {
				places = append(places, area{x, y, w, h})
			}
		}
	}
	return places
}

// sidePlaces lists where it may lie along the left side, then the right, from the foot up.
func (t *table) sidePlaces(w, h float64) []area {
	var places []area
	for _, x := range [2]float64{t.mx/2 - w/2, t.w - t.mx/2 - w/2} {
		for y := t.h - gapMM - h; y > 0; y -= gapMM {
			places = append(places, area{x, y, w, h})
		}
	}
	return places
}
