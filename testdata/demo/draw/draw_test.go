package draw

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"testing"

	"golang.org/x/image/font/gofont/gobold"
)

func ExamplePieces() {
	for _, p := range Pieces() {
		fmt.Println(p.File)
	}
	// Output:
	// orchard-fair.png
	// lantern-night.png
	// bee-stencil.png
}

func TestACircleCoversItsArea(t *testing.T) {
	c := &canvas{w: 300, h: 300}
	c.fill(rgb(0xffffff), circle(pt{150.3, 149.6}, 100))
	sum := 0.0
	for i, v := range c.render().Pix {
		if i%4 == 3 {
			sum += float64(v) / 255
		}
	}
	// The polygon's chords of 8 px lose 0.03 % of the disc; eight-bit coverage of 630 edge pixels a little more.
	if want := math.Pi * 100 * 100; math.Abs(sum-want) > 0.001*want {
		t.Errorf("a disc of radius 100 px covers %.1f px, want %.1f within 0.1 %%", sum, want)
	}
}

func TestAStrokeCoversItsBendsWithoutHoles(t *testing.T) {
	c := &canvas{w: 200, h: 200}
	zigzag := []pt{{30, 30}, {170, 60}, {30, 90}, {170, 120}, {30, 150}}
	c.line(rgb(0xff0000), 20, zigzag)
	out := c.render()
	for i := range len(zigzag) - 1 {
		for k := range 101 {
			p := zigzag[i].lerp(zigzag[i+1], float64(k)/100)
			if a := out.NRGBAAt(int(p.x), int(p.y)).A; a != 255 {
				t.Fatalf("the stroke's middle at %.0f,%.0f has alpha %d, want 255", p.x, p.y, a)
			}
		}
	}
}

func TestAStrokeIsAsWideAsItsPen(t *testing.T) {
	c := &canvas{w: 300, h: 300}
	c.fill(rgb(0x000000), outline(circle(pt{150, 150}, 100), 13))
	sum := 0.0
	for i, v := range c.render().Pix {
		if i%4 == 3 {
			sum += float64(v) / 255
		}
	}
	// Overlapping pieces would show as extra cover along both edges: 0.1 px more width is 0.8 %.
	if want := 2 * math.Pi * 100 * 13; math.Abs(sum-want) > 0.003*want {
		t.Errorf("a ring drawn with a pen of 13 px covers %.1f px, want %.1f within 0.3 %%", sum, want)
	}
}

func TestFullCoverLeavesTheInksOwnBytes(t *testing.T) {
	ink := rgb(0xc8322b)
	row := []uint8{31, 58, 95, 255, 31, 58, 95, 7, 0, 0, 0, 0}
	layRow(row, []uint8{255, 255, 255}, ink)
	for x := range 3 {
		if got := (color.NRGBA{row[4*x], row[4*x+1], row[4*x+2], row[4*x+3]}); got != ink {
			t.Errorf("pixel %d is %v under full cover, want the ink %v", x, got, ink)
		}
	}
}

func TestAnEdgeOnTheBareGroundKeepsTheInksColour(t *testing.T) {
	for a := seamCover; a <= 255-seamCover; a++ {
		row := make([]uint8, 4)
		layRow(row, []uint8{uint8(a)}, rgb(0x1f3a5f))
		if want := [4]uint8{0x1f, 0x3a, 0x5f, uint8(a)}; [4]uint8(row) != want {
			t.Fatalf("cover %d gives %v, want %v", a, row, want)
		}
	}
}

func TestACutLeavesTheBareGround(t *testing.T) {
	c := &canvas{w: 100, h: 100}
	c.fill(rgb(0xffffff), circle(pt{50, 50}, 40))
	c.cut(circle(pt{50, 50}, 20))
	if got := c.render().NRGBAAt(50, 50); got != (color.NRGBA{}) {
		t.Errorf("the middle of a cut is %v, want nothing", got)
	}
}

func TestLetteringIsAsWideAsItSays(t *testing.T) {
	face := newLetters(gobold.TTF)
	text, width := face.set("HONEY", 200, 20)
	box := text.box()
	if box.Min.X < 0 || float64(box.Max.X) > width+1 || box.Empty() {
		t.Errorf("HONEY at 200 px spans %v, its width is %.1f", box, width)
	}
	if high := -box.Min.Y; high < 130 || high > 160 {
		t.Errorf("capitals at 200 px are %d px high, want about 0.72 em (130..160)", high)
	}
}

func TestTheShoulderKeepsDarksAndNeverClips(t *testing.T) {
	enc, last := newEncoder(), uint8(0)
	for i := range 1000 {
		v := float64(i) / 200
		got := enc.at(v)
		if got < last {
			t.Fatalf("light %.3f gives byte %d after %d: tones must not turn back", v, got, last)
		}
		last = got
	}
	// 0.2140 is the linear light of sRGB byte 127.5 (IEC 61966-2-1).
	if got := enc.at(0.2140); got != 127 && got != 128 {
		t.Errorf("light 0.2140 gives byte %d, want 127 or 128", got)
	}
}

func TestNoiseStaysBetweenZeroAndOne(t *testing.T) {
	sum := 0.0
	const n = 20000
	for i := range n {
		v := clouded(float64(i)*0.137, float64(i)*0.071-90, 4, 3)
		if v < 0 || v > 1 {
			t.Fatalf("noise is %g at step %d, want 0..1", v, i)
		}
		sum += v
	}
	if mean := sum / n; math.Abs(mean-0.5) > 0.05 {
		t.Errorf("noise has mean %.3f, want 0.5 within 0.05", mean)
	}
}

func BenchmarkPieces(b *testing.B) {
	for _, p := range Pieces() {
		b.Run(p.File, func(b *testing.B) {
			b.ReportAllocs()
			var last *image.NRGBA
			for b.Loop() {
				last = p.Draw()
			}
			b.ReportMetric(float64(len(last.Pix))/4e6, "Mpx")
		})
	}
}
