package film

import (
	"math"
	"slices"
	"strings"
	"testing"

	"tamis/pkg/raster"
)

func TestMarksAreTheSamePixelsOnEveryFilmOfAJob(t *testing.T) {
	short, narrow := small(), small()
	short.PrintWidthMM, short.PrintHeightMM, short.MarginMM = 40, 40, 20
	narrow.PrintWidthMM, narrow.PrintHeightMM, narrow.MarginMM = 20, 45, 4
	for _, s := range []Spec{small(), short, narrow} {
		checkSameMarks(t, mustLay(t, s))
	}
}

// checkSameMarks compares the films of a job outside print, legend and strip.
func checkSameMarks(t *testing.T, l *Layout) {
	t.Helper()
	films := plates(t, l)
	first := rendered(l, films[0])
	own := l.box
	for _, p := range films[1:] {
		other, marks := rendered(l, p), 0
		for y := range l.HeightPX {
			for x := range l.WidthPX {
				if x >= own[0] && x < own[2] && y >= own[1] && y < own[3] || l.inField(x, y) {
					continue
				}
				if first.At(x, y) != other.At(x, y) {
					t.Fatalf("plate %d: pixel %d, %d differs from plate 1", p.N, x, y)
				}
				if first.At(x, y) {
					marks++
				}
			}
		}
		if marks < 800 {
			t.Errorf("only %d pixels of marks", marks)
		}
	}
}

// inField tells whether a pixel lies in the legend or the control strip.
func (l *Layout) inField(x, y int) bool {
	xMM, yMM := float64(x)/l.perMM[0], float64(y)/l.perMM[1]
	fields := []area{l.marked().strip}
	for _, f := range l.marked().legend {
		fields = append(fields, f.area)
	}
	for _, a := range fields {
		if a.w > 0 && xMM > a.x-0.5 && xMM < a.right()+0.5 && yMM > a.y-0.5 && yMM < a.bottom()+0.5 {
			return true
		}
	}
	return false
}

func TestMarksKeepClearOfPrintEdgeAndOneAnother(t *testing.T) {
	for _, margin := range []float64{0, 1, 1.5, 2, 3, 4, 4.5, 5, 6.5, 8, 10, 14, 17, 20, 35} {
		for _, size := range [][2]float64{{5, 5}, {20, 20}, {20, 90}, {40, 40}, {45, 60}, {60, 40}, {120, 30}, {250, 200}} {
			s := small()
			s.MarginMM, s.PrintWidthMM, s.PrintHeightMM = margin, size[0], size[1]
			s.Device.WidthMM = 330
			l := mustLay(t, s)
			p := plates(t, l)[0]
			checkClear(t, l, l.stamps(p))
			if least := leastMarks(margin); size[0] >= 20 && len(l.marked().same()) < least {
				t.Errorf("margin %g, print %v: only %d marks", margin, size, len(l.marked().same()))
			}
		}
	}
}

// leastMarks is how many marks a margin must hold: the centre ticks from 1 mm on, the corners' from 2.
func leastMarks(marginMM float64) int {
	switch {
	case marginMM < 1:
		return 0
	case marginMM < 2.1: // a margin is whole pixels: 2 mm may lack a hair
		return 4
	}
	return 8
}

// checkClear draws the stamps and looks for ink over ink, in the print or at the film's edge.
func checkClear(t *testing.T, l *Layout, stamps []stamp) {
	t.Helper()
	page := raster.NewBitmap(l.WidthPX, l.HeightPX)
	for n, s := range stamps {
		for y := range s.bits.Height {
			for x := range s.bits.Width {
				if !s.bits.At(x, y) {
					continue
				}
				px, py := s.x+x, s.y+y
				switch {
				case px < 1 || py < 1 || px >= l.WidthPX-1 || py >= l.HeightPX-1:
					t.Fatalf("margin %v: mark %d reaches the film's edge at %d, %d", l.marginMM, n, px, py)
				case px >= l.box[0] && px < l.box[2] && py >= l.box[1] && py < l.box[3]:
					t.Fatalf("margin %v: mark %d lies in the print at %d, %d", l.marginMM, n, px, py)
				case page.At(px, py):
					t.Fatalf("margin %v: mark %d lies on another at %d, %d", l.marginMM, n, px, py)
				}
				page.Set(px, py, true)
			}
		}
	}
}

// TestCheckBarsAreTrueToHalfAPixel measures both bars on twenty devices, on a film that has room beside its centre
// marks and on one where the bars lie past them.
func TestCheckBarsAreTrueToHalfAPixel(t *testing.T) {
	dpi := []float64{300, 360, 600, 720, 1200, 1440, 2400, 2540, 2880, 5080}
	for i, x := range dpi {
		for _, y := range [2]float64{x, dpi[(i+3)%len(dpi)]} {
			s := small()
			s.Device.XDPI, s.Device.YDPI = x, y
			s.Device.ScaleX, s.Device.ScaleY = 1+float64(i-4)*0.0021, 1-float64(i-5)*0.0017
			s.PrintWidthMM, s.PrintHeightMM, s.MarginMM = 180, 180, 20
			if i%2 == 1 {
				s.PrintWidthMM, s.PrintHeightMM, s.MarginMM = 260, 230, 18
			}
			checkBars(t, mustLay(t, s))
		}
	}
}

func checkBars(t *testing.T, l *Layout) {
	t.Helper()
	lengths := map[bool]float64{}
	for _, m := range l.marked().same() {
		x0, y0, x1, y1 := bounds(m.bits)
		w, h := float64(x1-x0)/l.perMM[0], float64(y1-y0)/l.perMM[1]
		if w > 60 || h > 60 {
			lengths[h > w] = max(w, h)
		}
	}
	for upright, perMM := range map[bool]float64{false: l.perMM[0], true: l.perMM[1]} {
		if off := math.Abs(lengths[upright]-100) * perMM; off > 0.5+1e-9 {
			t.Errorf("%+v, upright %v: the bar is %.4f mm, %.2f px off 100 mm (tolerance half a device px)",
				l.Spec.Device, upright, lengths[upright], off)
		}
	}
}

// bounds is the box of a bitmap's ink.
func bounds(b *raster.Bitmap) (x0, y0, x1, y1 int) {
	x0, y0 = b.Width, b.Height
	for y := range b.Height {
		for x := range b.Width {
			if b.At(x, y) {
				x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x+1), max(y1, y+1)
			}
		}
	}
	return x0, y0, x1, y1
}

func TestMirrorAndNegativeTurnTheWholePageOver(t *testing.T) {
	plain := mustLay(t, small())
	s := small()
	s.Reading, s.Negative = WrongInkUp, true
	turned := mustLay(t, s)
	a, b := rendered(plain, plates(t, plain)[0]), rendered(turned, plates(t, turned)[0])
	if plain.PrintBoxPX != turned.PrintBoxPX {
		t.Errorf("print boxes %v and %v", plain.PrintBoxPX, turned.PrintBoxPX)
	}
	differ := 0
	for y := range a.Height {
		for x := range a.Width {
			if a.At(x, y) == b.At(a.Width-1-x, y) {
				differ++ // the reading mark says "up" on one and "down" on the other
			}
		}
	}
	if differ > 400 {
		t.Errorf("%d pixels are not the mirrored negative", differ)
	}
}

func TestMissingSaysWhatFoundNoRoom(t *testing.T) {
	for _, c := range []struct {
		size, margin float64
		want         string
	}{
		{40, 0, "legend check_bar control_strip reading_mark register_marks second_check_bar density_wedge"},
		{40, 1, "legend check_bar control_strip reading_mark register_marks second_check_bar density_wedge"},
		{40, 3, "legend check_bar control_strip reading_mark second_check_bar density_wedge"},
		{40, 4.5, "check_bar reading_mark second_check_bar density_wedge"},
		{40, 20, "density_wedge"}, {45, 20, "density_wedge"}, {60, 14, "density_wedge"}, {90, 16, ""},
	} {
		s := small()
		s.MarginMM, s.PrintWidthMM, s.PrintHeightMM = c.margin, c.size, c.size
		if got := strings.Join(mustLay(t, s).Missing(), " "); got != c.want {
			t.Errorf("print of %g mm, margin %g: %q is missing, want %q", c.size, c.margin, got, c.want)
		}
	}
}

func TestStripsShortOfRoomKeepTheTonesThatMatter(t *testing.T) {
	for margin := 5.0; margin <= 20; margin++ {
		for _, size := range []float64{40, 60, 120} {
			s := small()
			s.MarginMM, s.PrintWidthMM, s.PrintHeightMM = margin, size, size
			m := mustLay(t, s).marked()
			for _, tone := range []int{10, 50, 100} {
				if !slices.Contains(m.steps, tone) {
					t.Errorf("print of %g mm, margin %g: patches %v lack %d", size, margin, m.steps, tone)
				}
			}
			if size == 120 && len(m.steps) != 10 {
				t.Errorf("margin %g: patches %v where there is room for all", margin, m.steps)
			}
			if n := float64(len(m.steps)); m.strip.w < n*patchSmallMM-1e-9 {
				t.Errorf("margin %g: %g patches in %g mm", margin, n, m.strip.w)
			}
		}
	}
}

// BenchmarkMissing is what a quote pays for knowing.
func BenchmarkMissing(b *testing.B) {
	s := small()
	s.Device.XDPI, s.Device.YDPI = 1440, 1440
	b.ReportAllocs()
	for b.Loop() {
		mustLay(b, s).Missing()
	}
}

func TestLinePlatesCarryLinesAndGapsOfStatedWidth(t *testing.T) {
	s := small()
	s.PrintWidthMM, s.Device.XDPI, s.Device.YDPI = 180, 1440, 720
	l := mustLay(t, s)
	p := plates(t, l)[2]
	stamps := l.stamps(p)
	strip := stamps[len(stamps)-1]
	for i, want := range patches(10) {
		wide, high, _ := l.marked().strip.patch(10)
		x0 := int(math.Round((l.marked().strip.x+float64(i)*wide)*l.perMM[0])) - strip.x
		row := int(high / 4 * l.perMM[1]) // a row of the upright lines
		var runs [2][]int
		for x, from := x0, x0; x < x0+int((wide-0.5)*l.perMM[0]); x++ {
			if ink := strip.bits.At(x, row); ink != strip.bits.At(x+1, row) {
				runs[b2i(ink)] = append(runs[b2i(ink)], x+1-from)
				from = x + 1
			}
		}
		if want.widthMM == 0 {
			if strip.bits.At(x0+100, row) != want.solid {
				t.Errorf("patch %d is not %v", i, want)
			}
			continue
		}
		narrow := slices.Min(runs[b2i(!want.solid)])
		if off := math.Abs(float64(narrow) - want.widthMM*l.perMM[0]); off > 0.5 {
			t.Errorf("patch %d: %d px for %g mm (tolerance half a device px)", i, narrow, want.widthMM)
		}
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

func TestWedgeHasTheTonesItStepsThrough(t *testing.T) {
	l := mustLay(t, small())
	a := area{10.3, 2.7, 4, 6}
	for _, dots := range append(wedgeDots(), 4) {
		c := l.newCanvas(a)
		c.tint(a, dots)
		x0, y0, x1, y1 := bounds(c.bits)
		ink := 0
		for y := y0; y < y1; y++ {
			ink += raster.CountBits(c.bits.Row(y), x0, x1)
		}
		if got := float64(ink) / float64((x1-x0)*(y1-y0)); math.Abs(got-float64(dots)/4) > 0.03 {
			t.Errorf("%d of 4: %.3f is ink (tolerance 0.03, an odd row or column)", dots, got)
		}
	}
}
