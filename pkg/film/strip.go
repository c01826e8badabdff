package film

import (
	"encoding/binary"
	"math"
	"slices"
	"strconv"

	"tamis/pkg/cores"
	"tamis/pkg/raster"
)

// stripSteps are the control strip's tones in percent, and the fewer of a strip short of room: the solid is on all, since
// densities say nothing without it. All are whole numbers
// of the screen's 1020 steps.
func stripSteps() [4][]int {
	return [4][]int{{5, 10, 25, 40, 50, 60, 75, 90, 95, 100}, {5, 10, 25, 50, 75, 90, 95, 100}, {10, 25, 50, 75, 100},
		{10, 50, 90, 100}}
}

// The strip's patches in millimetres: a densitometer's opening is 3 to 4 mm.
const (
	patchMM, patchLeastMM = 8.0, 4.0
	patchSmallMM          = 2.9 // what a margin of 4 mm leaves
	patchHighMM           = 6.0
	stripTextMM           = 2.2
)

// strip finds the field of the control strip: the right half of the head, else of the foot, else anywhere in them;
// fewer patches, then smaller ones, where not all find room. False says that none do.
func (t *table) strip() bool {
	high := min(t.my-2*t.gap[1], patchHighMM+stripTextMM+0.6)
	if high < patchSmallMM-1e-9 {
		return false
	}
	for _, least := range [2]float64{patchLeastMM, patchSmallMM} {
		for _, steps := range stripSteps() {
			n := float64(len(steps))
			for _, y := range [2]float64{t.my/2 - high/2, t.h - t.my/2 - high/2} {
				for _, from := range [3]float64{t.w / 2, t.mx, t.gap[0]} {
					if a := t.stretch(y, high, from, n*patchMM, n*least); a.w > 0 {
						t.out.strip, t.out.steps = a, steps
						t.taken = append(t.taken, a)
						return true
					}
				}
			}
		}
	}
	return false
}

// drawStrip draws the control strip in the plate's own screen, straight from the tone asked for: no curve, no least
// dot, so that what is read from it tells of film, mesh and press alone. Its thresholds stand where the print's do.
func (l *Layout) drawStrip(p Plate, a area, steps []int) stamp {
	screen := p.Screen.Plain()
	wide, high, labelled := a.patch(len(steps))
	y0, y1 := int(math.Round(a.y*l.perMM[1])), int(math.Round((a.y+high)*l.perMM[1]))
	first := int(a.x*l.perMM[0]) >> 6
	words := int(a.right()*l.perMM[0])>>6 + 1 - first
	tones := make([]byte, words*128)
	for i, percent := range steps {
		x0 := int(math.Round((a.x+float64(i)*wide)*l.perMM[0])) - first*64
		x1 := int(math.Round((a.x+float64(i+1)*wide)*l.perMM[0])) - first*64
		for x := x0; x < min(x1, words*64); x++ {
			binary.LittleEndian.PutUint16(tones[2*x:], uint16(percent*1020/100))
		}
	}
	bits := raster.NewBitmap(words*64, max(1, int(math.Ceil(a.bottom()*l.perMM[1]))+1-y0))
	for y := y0; y < y1; y++ {
		screen.Row(bits.Row(y-y0), tones, tones, 0, first*64, y)
	}
	s := stamp{first * 64, y0, bits}
	if labelled {
		var labels []string
		for _, percent := range steps {
			labels = append(labels, strconv.Itoa(percent))
		}
		l.labelStrip(s, a, labels)
	}
	return s
}

// patch is the size of one of n patches of a strip, and whether there is room for text under them.
func (a area) patch(n int) (wideMM, highMM float64, labelled bool) {
	if labelled = a.h >= patchLeastMM+stripTextMM+0.6; labelled {
		return a.w / float64(n), a.h - stripTextMM - 0.6, true
	}
	return a.w / float64(n), a.h, false
}

// labelStrip sets texts under the patches.
func (l *Layout) labelStrip(s stamp, a area, labels []string) {
	face, p := regular(), path{perMM: l.perMM}
	wide, _, _ := a.patch(len(labels))
	for i, text := range labels {
		x := a.x + (float64(i)+0.5)*wide - face.width(text)*stripTextMM/2
		face.set(&p, text, x, a.bottom()-0.3, stripTextMM, false)
	}
	p.fill(s.bits, s.x, s.y)
}

// stamps gives every mark of one plate's film: those of all films, its legend, its control strip.
func (l *Layout) stamps(p Plate) []stamp {
	m := l.marked()
	p.part = l.partName()
	var same, own []stamp
	cores.Together(func() { same = m.same() }, func() { own = l.ownStamps(p, m) })
	return slices.Concat(same, own)
}

// ownStamps gives the marks that only this plate's film has.
func (l *Layout) ownStamps(p Plate, m *marked) []stamp {
	own := l.drawLegend(p, m.legend)
	switch {
	case m.strip.w == 0:
	case p.Screen != nil:
		own = append(own, l.drawStrip(p, m.strip, m.steps))
	default:
		own = append(own, l.drawTarget(m.strip, len(m.steps)))
	}
	return own
}
