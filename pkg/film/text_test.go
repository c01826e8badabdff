package film

import (
	"strings"
	"testing"
)

func TestTextIsShortenedToItsRoom(t *testing.T) {
	f := regular()
	for _, s := range []string{"", "Navy", "A very long name of an ink", strings.Repeat("長い名前", 3000), "one\ntwo\x00"} {
		for _, ems := range []float64{0, 0.5, 3, 9, 1e6} {
			got := f.fit(s, ems)
			if w := f.width(got); w > ems {
				t.Errorf("%.20q in %g ems is %q, %g wide", s, ems, got, w)
			}
			if f.width(s) <= ems && got != s {
				t.Errorf("%.20q fits %g ems and became %q", s, ems, got)
			}
			if got != s && got != "" && !strings.HasSuffix(got, "\u2026") {
				t.Errorf("%.20q was cut to %q without an ellipsis", s, got)
			}
		}
	}
}

func TestCharactersTheTypefaceLacksShowAsBoxes(t *testing.T) {
	l := mustLay(t, small())
	draw := func(s string) int {
		c := l.newCanvas(area{0, 0, 40, 10})
		regular().set(&c.path, s, 1, 8, 6, false)
		c.flush()
		return c.bits.Count()
	}
	if n := draw("海"); n < 100 {
		t.Errorf("a character the typeface lacks shows %d pixels", n)
	}
	if n := draw(" \t\n"); n != 0 {
		t.Errorf("blanks show %d pixels", n)
	}
}
