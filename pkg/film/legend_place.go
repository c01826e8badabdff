package film

import (
	"math"
	"slices"
)

// Where a legend may stand, in millimetres.
const (
	legendMostMM  = 140.0 // no field is longer
	legendTallMM  = 18.0  // nor higher, where the usual height is too little
	legendRoomMM  = 120.0 // the length of line an ordinary legend takes at the least em
	legendShortMM = 20.0  // what is looked for first
	legendLeastMM = 8.0   // less room cannot say one film of a job from another
	raggedMM      = 2.0   // what breaking between words leaves of a line

	legendHighMM    = titlePitch*titleEM + 3*detailPitch*detailEM // the usual height: a title and three lines
	legendNeedsHigh = lastPitch * leastEM
)

// field is a place for lines of the legend: level, or turned so that they run up the page, the first at the left.
type field struct {
	area
	turned bool
}

// long is how long the field's lines are, high how much there is for them one below the other, in mm.
func (f field) long() float64 {
	if f.turned {
		return f.h
	}
	return f.w
}

func (f field) high() float64 {
	if f.turned {
		return f.w
	}
	return f.h
}

// grown is an area with so much more on every side.
func (a area) grown(xMM, yMM float64) area {
	return area{a.x - xMM, a.y - yMM, a.w + 2*xMM, a.h + 2*yMM}
}

// room is the length of all the lines a field holds at the least em, less what breaking between words leaves empty.
func (f field) room() float64 {
	return (f.long() - raggedMM) * (math.Floor((f.high()-legendNeedsHigh)/(detailPitch*leastEM)+1e-9) + 1)
}

// legend finds the legend's first field: in the head, then the foot, level with the print, then from the film's edge
// on, then turned along a side; a short one only where nothing longer is free. It depends on the page alone, so that
// all films of the job agree.
func (t *table) legend() {
	for _, least := range [3]float64{legendShortMM, 12, 6} {
		for _, from := range [2]float64{t.mx, t.gap[0]} {
			if least < legendShortMM {
				from = t.gap[0] // the whole of a short stretch is wanted
			}
			for _, foot := range [2]bool{false, true} {
				if f := t.level(foot, from, least); f.w > 0 {
					t.addLegend(f)
					return
				}
			}
		}
		for _, right := range [2]bool{false, true} {
			if f := t.upright(right, t.gap[1], least); f.w > 0 {
				t.addLegend(f)
				return
			}
		}
	}
}

// moreLegend adds what the other marks have left, where the first field is too small for an ordinary legend: the
// head, the sides from the foot up, the foot.
func (t *table) moreLegend() {
	if t.legendRoom() >= legendRoomMM {
		return
	}
	for _, least := range [2]float64{12, 6} {
		t.addLegend(t.all(func(from float64) field { return t.level(false, from, least) })...)
		for _, right := range [2]bool{false, true} {
			fields := t.all(func(from float64) field { return t.upright(right, from, least) })
			slices.Reverse(fields)
			t.addLegend(fields...)
		}
		t.addLegend(t.all(func(from float64) field { return t.level(true, from, least) })...)
	}
}

// all lists the free fields of one margin.
func (t *table) all(next func(from float64) field) []field {
	var fields []field
	for from := 0.0; ; {
		f := next(from)
		if f.w <= 0 {
			return fields
		}
		fields = append(fields, f)
		if from = f.right() + gapMM; f.turned {
			from = f.bottom() + gapMM
		}
	}
}

// addLegend takes fields for the legend as long as it wants for room.
func (t *table) addLegend(fields ...field) {
	for _, f := range fields {
		if t.legendRoom() >= legendRoomMM {
			return
		}
		t.out.legend = append(t.out.legend, f)
		t.taken = append(t.taken, f.area)
	}
}

func (t *table) legendRoom() float64 {
	room := 0.0
	for _, f := range t.out.legend {
		room += float64(f.room())
	}
	return room
}

// level is the first field from fromMM on in the head or the foot, at least leastMM long; else one without width.
func (t *table) level(foot bool, fromMM, leastMM float64) field {
	at := func(high, least float64) field {
		if high < legendNeedsHigh-1e-9 {
			return field{}
		}
		y := t.my/2 - high/2
		if foot {
			y = t.h - t.my/2 - high/2
		}
		return field{t.stretch(y, high, fromMM, legendMostMM, least), false}
	}
	return t.tallIfShort(at, t.my-2*t.gap[1], leastMM)
}

// upright is the same along the left or the right side.
func (t *table) upright(right bool, fromMM, leastMM float64) field {
	at := func(wide, least float64) field {
		if wide < legendNeedsHigh-1e-9 {
			return field{}
		}
		x := t.mx/2 - wide/2
		if right {
			x = t.w - t.mx/2 - wide/2
		}
		return field{t.stretchUp(x, wide, fromMM, legendMostMM, least), true}
	}
	return t.tallIfShort(at, t.mx-2*t.gap[0], leastMM)
}

// tallIfShort tries for a field of the usual height, then for one as tall as may be, where the usual is too short for
// an ordinary legend.
func (t *table) tallIfShort(at func(high, least float64) field, most, leastMM float64) field {
	f := at(min(most, legendHighMM), leastMM)
	if f.room() >= legendRoomMM || most <= legendHighMM {
		return f
	}
	if tall := at(min(most, legendTallMM), leastMM); tall.w > 0 {
		return tall
	}
	return f
}

// stretch is the first free area at this height from fromMM on, at most mostMM and at least leastMM wide; else none.
func (t *table) stretch(y, high, fromMM, mostMM, leastMM float64) area {
	return t.along(t.w, fromMM, mostMM, leastMM, func(x, w float64) area { return area{x, y, w, high} })
}

// stretchUp is the same along a side: the first free area from fromMM down.
func (t *table) stretchUp(x, wide, fromMM, mostMM, leastMM float64) area {
	return t.along(t.h, fromMM, mostMM, leastMM, func(y, h float64) area { return area{x, y, wide, h} })
}

// along looks for the first free area of a row or column of the page that is end mm long.
func (t *table) along(end, fromMM, mostMM, leastMM float64, at func(start, length float64) area) area {
	const step = 0.5
	for start := max(fromMM, gapLeastMM); start+leastMM <= end; start += step {
		if !t.free(at(start, leastMM)) {
			continue
		}
		length := leastMM
		for length+step <= mostMM && t.free(at(start, length+step)) {
			length += step
		}
		return at(start, length)
	}
	return area{}
}
