package film

import "math"

// bar draws a check bar: blocks of 10 mm, 100 mm in all or as much as fits, along the page's foot or its left side.
// False says that none fits. From its first edge to its last it is that long, to half a device pixel, once the device
// has stretched it.
func (t *table) bar(upright bool) bool {
	face := regular()
	const em = 2.6
	length, a := t.barPlace(upright, barWideMM)
	if a.w > 0 {
		t.draw(a, func(c *canvas) {
			label := barLabel(length)
			c.scaleBar(a, length, upright)
			if upright {
				face.set(&c.path, label, a.right(), a.y+length, em, true)
			} else {
				face.set(&c.path, label, a.x, a.bottom()-0.5, em, false)
			}
		})
	}
	return a.w > 0
}

// barPlace is the longest bar that finds a place; only where none does is it moved close to a corner's mark.
func (t *table) barPlace(upright bool, high float64) (length float64, a area) {
	for _, apart := range [2]float64{2 * gapMM, gapMM} {
		for length = barMM; length >= barStepMM; length -= barStepMM {
			if a = t.firstFree(t.barPlaces(upright, length, high, apart)); a.w > 0 {
				return length, a
			}
		}
	}
	return 0, area{}
}

// barPlaces lists where a bar may lie: in its margin, either half, level with the print or apart mm from the
// corner's mark; then in the opposite margin; then along the film's edge, past a centre mark that was pulled in.
func (t *table) barPlaces(upright bool, length, high, apart float64) []area {
	var places []area
	margin, middle, long := t.mx, t.my/2, t.w
	if upright {
		margin, middle, long = t.my, t.mx/2, t.h
	}
	near := t.nearCorner(apart)
	starts := []float64{margin, near, long - margin - length, long - near - length}
	if upright { // from the foot up
		starts = []float64{long - margin - length, long - near - length, margin, near}
	}
	if t.l.whole != nil { // joins may stand at both ends: from the middle
		clear := registerMM/2 + gapMM
		starts = append(starts, long/2+clear, long/2-clear-length)
	}
	if upright {
		for _, x := range [3]float64{max(gapMM, middle-high/2), t.w - max(gapMM, middle-high/2) - high, gapMM} {
			for _, y := range starts {
				places = append(places, area{x, y, high, length})
			}
		}
		return places
	}
	for _, y := range [3]float64{t.h - middle - high/2, middle - high/2, t.h - gapMM - high} {
		for _, x := range starts {
			places = append(places, area{x, y, length, high})
		}
	}
	return places
}

// scaleBar draws blocks by turns in the upper and the lower half, closed by lines above and below.
func (c *canvas) scaleBar(a area, length float64, upright bool) {
	along, px := a.x, c.perMM[0]
	if upright {
		along, px = a.y, c.perMM[1]
	}
	start := math.Round(along*px) / px // so that every block counts from the same pixel edge
	block := func(from, to, top, bottom float64) {
		if upright {
			c.rect(area{a.x + top, start + from, bottom - top, to - from})
		} else {
			c.rect(area{start + from, a.y + top, to - from, bottom - top})
		}
	}
	for i := 0; float64(i)*barStepMM < length; i++ {
		from := float64(i) * barStepMM
		top := float64(i%2) * barHighMM / 2
		block(from, from+barStepMM, top, top+barHighMM/2)
	}
	block(0, length, 0, lineMM/2)
	block(0, length, barHighMM-lineMM/2, barHighMM)
	block(0, lineMM/2, 0, barHighMM)
	block(length-lineMM/2, length, 0, barHighMM)
}

// pullIn is how much of the left margin (0) or the foot (1) a check bar takes that lies beyond the centre mark; 0 where
// there it would not be much longer than in half the margin, in the foot where it would not reach 100 mm, and on small
// films, whose margins the legend needs.
func (t *table) pullIn(axis int) float64 {
	margin, long := [2]float64{t.mx, t.my}[axis], [2]float64{t.h, t.w}[axis]
	taken, near := barWideMM+gapMM, t.nearCorner(2*gapMM)
	if long < barMM || margin-2*t.gap[axis]-taken < registerLeast {
		return 0
	}
	half, whole := long/2-registerMM/2-gapMM-min(near, [2]float64{t.my, t.mx}[axis]), long-2*near
	if axis == 1 {
		whole -= readingMM // the reading mark stands beside it
	}
	steps := func(mm float64) int { return int(min(mm, barMM) / barStepMM) }
	gain := steps(whole) - steps(half)
	if gain < 1 || whole < barMM && (gain < barGain || axis == 1) {
		return 0
	}
	return taken
}

// nearCorner is how far from the film's corner what lies apart mm from the corner's mark begins.
func (t *table) nearCorner(apart float64) float64 { return max(t.my, t.mx)/2 + registerMM/2 + apart }
