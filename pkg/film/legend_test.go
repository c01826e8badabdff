package film

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"tamis/pkg/raster"
)

// ordinary is a plate with the legend of an ordinary job.
func ordinary() Plate {
	return Plate{N: 2, Of: 3, InkName: "White underbase", Role: "underbase", Order: "ORD-2026-1188",
		Mesh: "54/cm (137/in)", LPI: 45, AngleDeg: 22.5, Plane: raster.NewPlane(9, 9)}
}

// said is the text of a legend's lines without its blanks, which breaking alters.
func said(lines []textLine) string {
	var b strings.Builder
	for _, line := range lines {
		b.WriteString(line.text)
	}
	return strings.Join(strings.Fields(b.String()), "")
}

// onPage lays out a print with a margin.
func onPage(t *testing.T, widthMM, heightMM, marginMM float64) *Layout {
	t.Helper()
	s := small()
	s.PrintWidthMM, s.PrintHeightMM, s.MarginMM = widthMM, heightMM, marginMM
	return mustLay(t, s)
}

func TestSmallFilmsSayTheWholeLegend(t *testing.T) {
	p := ordinary()
	want := strings.Join(strings.Fields(p.title()+strings.Join(p.details(), "")), "")
	for _, margin := range []float64{4, 4.5, 5, 6, 8, 10, 12, 14, 16, 18, 20} {
		for _, size := range [][2]float64{{40, 40}, {45, 45}, {50, 40}, {60, 45}, {60, 80}, {120, 90}, {280, 60}} {
			if got := said(setLegend(p, onPage(t, size[0], size[1], margin).marked().legend)); got != want {
				t.Errorf("margin %g, print %v: %q, want %q", margin, size, got, want)
			}
		}
	}
}

func TestTheSmallestFilmsSayPositionInkAndOrder(t *testing.T) {
	p := ordinary()
	for _, margin := range []float64{4, 4.5, 5, 6, 8, 10, 12, 14, 16, 18, 20} {
		for _, size := range [][2]float64{{20, 20}, {20, 35}, {30, 25}} {
			l := onPage(t, size[0], size[1], margin)
			if got := said(setLegend(p, l.marked().legend)); !strings.HasPrefix(got, "2of3WhiteunderbaseORD-2026-1188") {
				t.Errorf("margin %g, print %v: %q", margin, size, got)
			}
		}
	}
}

func TestLegendsLeaveOutTheLeastFirstAndSayThatTheyDo(t *testing.T) {
	p := ordinary()
	f := regular()
	for _, long := range []float64{6, 9, 15, 30, 40, 50, 60} {
		lines := setLegend(p, []field{{area{1, 1, long, 2.6}, false}})
		got := lines[0].text
		if w := f.width(got) * leastEM; len(lines) != 1 || w > long || !strings.HasSuffix(got, "\u2026") {
			t.Errorf("%g mm: %q, %g mm long", long, got, w)
		}
		whole := p.title() + between + strings.Join(p.details(), between)
		blank := func(s string) string { return strings.Join(strings.Fields(s), "") }
		if !strings.HasPrefix(blank(whole), blank(strings.TrimSuffix(got, "\u2026"))) {
			t.Errorf("%g mm: %q is not how %q begins", long, got, whole)
		}
	}
}

func TestLegendLinesStayWithinTheirFields(t *testing.T) {
	p := ordinary()
	p.InkName, p.Order = "\u00c5ngstr\u00f6m Gelb\u01fa|jpq", "\u00c7g-j\u00d1"
	for _, margin := range []float64{4, 5, 8, 12, 20} {
		for _, size := range []float64{20, 40, 60, 120} {
			l := onPage(t, size, size, margin)
			for i, s := range l.drawLegend(p, l.marked().legend) {
				f := l.marked().legend[i]
				whole := l.newCanvas(f.grown(2, 2))
				for _, line := range setLegend(p, l.marked().legend) {
					if line.field == f {
						line.draw(&whole.path)
					}
				}
				whole.flush()
				if got, want := s.bits.Count(), whole.bits.Count(); got != want {
					t.Errorf("margin %g, print %g: field %d shows %d pixels of %d", margin, size, i, got, want)
				}
			}
		}
	}
}

// strange are texts that break what is careless.
func strange() []string {
	return []string{"\U0001F44D\U0001F3FD Drop 7", "\u05e9\u05b8\u05c1\u05dc\u05d5\u05b9\u05dd 12", "e\u0301\u0323a\u030a",
		"\u202eevil\u202c\u2066x\u2069", "\U0001F468\u200d\U0001F469\u200d\U0001F467", "\u0301\u0301\u0301",
		"\ufeff\u200b\u2028", "\xff\xfe\x80",
		strings.Repeat("\u0489", 5000), strings.Repeat("W", 5000), "\x00\t\n", "\ufe0f"}
}

func TestStrangeTextsBreakNoLegend(t *testing.T) {
	for _, text := range strange() {
		for _, size := range []float64{20, 40, 90} {
			l := onPage(t, size, size, 8)
			p := ordinary()
			p.InkName, p.Order, p.Role, p.Mesh = text, text, text, text
			checkClear(t, l, l.stamps(p))
			for _, line := range setLegend(p, l.marked().legend) {
				if line.face.width(line.text)*line.em > line.long()+1e-9 {
					t.Errorf("%.20q: %q is longer than its %g mm", text, line.text, line.long())
				}
			}
		}
		p := ordinary()
		p.InkName, p.Order = text, text
		foreign := func(r rune) bool { return r < 32 || r > 126 }
		if name := p.pageName(); len(name) > 250 || strings.ContainsFunc(name, foreign) {
			t.Errorf("%.20q: the page is called %q", text, name)
		}
	}
}

func TestPrintableKeepsWhatHasAShape(t *testing.T) {
	for in, want := range map[string]string{
		"  Gold  leaf ": "Gold  leaf", "e\u0301": "\u00e9", "\u202eabc\u202c": "abc", "a\tb\nc": "a b c",
		"\U0001F44D\ufe0f": "\U0001F44D", "\u200b": "", "\u05e9": "\u05e9", "\u6d77": "\u6d77",
	} {
		if got := printable(in); got != want {
			t.Errorf("%q becomes %q, want %q", in, got, want)
		}
	}
	if n := utf8.RuneCountInString(printable(strings.Repeat("W", 5000))); n != partMost {
		t.Errorf("%d characters of 5000 are looked at, want %d", n, partMost)
	}
}

func TestCharactersOfAnyPlaneShowAsBoxes(t *testing.T) {
	l := mustLay(t, small())
	for _, s := range []string{"\U0001F44D", "\u05e9", "\u0489", "\u6d77"} {
		c := l.newCanvas(area{0, 0, 20, 10})
		regular().set(&c.path, printable(s), 1, 8, 6, false)
		c.flush()
		x0, y0, x1, y1 := bounds(c.bits)
		if w, h := float64(x1-x0)/l.perMM[0], float64(y1-y0)/l.perMM[1]; w < 2.5 || h < 3.7 {
			t.Errorf("%q shows %.1f x %.1f mm, want a box of 3 x 4.2", s, w, h)
		}
	}
}

func TestPageNamesAreThePlainestLetters(t *testing.T) {
	for _, c := range []struct{ ink, order, want string }{
		{"Navy", "A-17", "2 of 3  Navy, A-17, underbase, 45 lpi  22.5d, mesh 54/cm"},
		{"Cr\u00e8me br\u00fbl\u00e9e", "\u0141\u00f3d\u017a 9",
			"2 of 3  Creme brulee, Lodz 9, underbase, 45 lpi  22.5d, mesh 54/cm"},
		{"Stra\u00dfe \u00d8re", "\ufb01ne\u2026", "2 of 3  Strasse Ore, fine..., underbase, 45 lpi  22.5d, mesh 54/cm"},
		{"\u6d77", "\u6d77 77", "2 of 3  ?, ? 77, underbase, 45 lpi  22.5d, mesh 54/cm"},
		{"Navy", "\u6d77\u5cb8", "2 of 3  Navy, underbase, 45 lpi  22.5d, mesh 54/cm"},
		{"Navy", "\U0001F44D - \u05e9", "2 of 3  Navy, underbase, 45 lpi  22.5d, mesh 54/cm"},
	} {
		p := ordinary()
		p.InkName, p.Order, p.Mesh = c.ink, c.order, "54/cm"
		if got := p.pageName(); got != c.want {
			t.Errorf("%s, %s: %q, want %q", c.ink, c.order, got, c.want)
		}
	}
}

func TestFilmsHoldStrangeNamesInPlainLetters(t *testing.T) {
	l := onPage(t, 20, 20, 4)
	for i, text := range strange() {
		p := ordinary()
		p.InkName, p.Order = text, text
		data, film := mustWrite(t, l, p)
		if film.Legend != p.pageName() || !bytes.Contains(data, []byte(film.Legend)) {
			t.Errorf("text %d: the file does not hold %q", i, film.Legend)
		}
	}
}

// TestFiguresOfALegendAreNeverBroken: half an angle reads as another one.
func TestFiguresOfALegendAreNeverBroken(t *testing.T) {
	p := ordinary()
	p.LPI, p.AngleDeg, p.Order = 44.97, 7.491, "wc9643ee4e"
	var figures []string
	for _, f := range p.figures() {
		figures = append(figures, strings.FieldsFunc(f, func(r rune) bool { return r == ' ' || string(r) == hold })...)
	}
	for _, margin := range []float64{8, 10, 14, 20} {
		for size := 5.0; size < 40; size++ {
			lines := setLegend(p, onPage(t, size, size, margin).marked().legend)
			for i := range lines[:max(0, len(lines)-1)] {
				end, begin := strings.Fields(lines[i].text), strings.Fields(lines[i+1].text)
				if len(end) > 0 && len(begin) > 0 && slices.Contains(figures, end[len(end)-1]+begin[0]) {
					t.Errorf("margin %g, print of %g mm: %q / %q", margin, size, lines[i].text, lines[i+1].text)
				}
			}
		}
	}
}
