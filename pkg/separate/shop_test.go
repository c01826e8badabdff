package separate

import (
	"context"
	"image"
	"image/color"
	"image/draw"
	"math"
	"testing"

	"golang.org/x/image/vector"

	"tamis/pkg/artwork"
	col "tamis/pkg/color"
	"tamis/pkg/ink"
)

// testInks is a small shop of invented inks: solids over the white and the black card.
func testInks() []ink.Ink {
	rows := []struct {
		id           string
		kind         ink.Kind
		white, black col.Lab
	}{
		{"white", ink.Plastisol, col.Lab{L: 94, A: -1, B: -1}, col.Lab{L: 88, A: -1, B: -2}},
		{"black", ink.Plastisol, col.Lab{L: 15}, col.Lab{L: 13}},
		{"red", ink.Plastisol, col.Lab{L: 46, A: 66, B: 44}, col.Lab{L: 34, A: 48, B: 30}},
		{"orange", ink.Plastisol, col.Lab{L: 64, A: 55, B: 70}, col.Lab{L: 50, A: 42, B: 50}},
		{"golden", ink.Plastisol, col.Lab{L: 76, A: 25, B: 82}, col.Lab{L: 62, A: 20, B: 60}},
		{"lemon", ink.Plastisol, col.Lab{L: 90, A: -6, B: 92}, col.Lab{L: 74, A: -8, B: 66}},
		{"green", ink.Plastisol, col.Lab{L: 42, A: -45, B: 18}, col.Lab{L: 32, A: -33, B: 12}},
		{"sky", ink.Plastisol, col.Lab{L: 62, A: -16, B: -40}, col.Lab{L: 50, A: -13, B: -32}},
		{"royal", ink.Plastisol, col.Lab{L: 32, A: 14, B: -58}, col.Lab{L: 25, A: 9, B: -42}},
		{"magenta", ink.Plastisol, col.Lab{L: 48, A: 72, B: -8}, col.Lab{L: 35, A: 50, B: -8}},
		{"tan", ink.Plastisol, col.Lab{L: 76, A: 9, B: 24}, col.Lab{L: 64, A: 7, B: 17}},
		{"process-cyan", ink.Process, col.Lab{L: 56, A: -36, B: -48}, col.Lab{L: 14, A: -8, B: -14}},
		{"process-magenta", ink.Process, col.Lab{L: 49, A: 72, B: -3}, col.Lab{L: 15, A: 18, B: -2}},
		{"process-yellow", ink.Process, col.Lab{L: 88, A: -5, B: 90}, col.Lab{L: 16, A: -2, B: 12}},
		{"process-black", ink.Process, col.Lab{L: 18}, col.Lab{L: 10}},
	}
	list := make([]ink.Ink, len(rows))
	for i, r := range rows {
		list[i] = ink.Ink{
			ID:        r.id,
			Name:      r.id,
			Kind:      r.kind,
			OverWhite: r.white,
			OverBlack: r.black,
			Hex:       r.white.RGB8().Hex(),
		}
	}
	return list
}

func inkNamed(t testing.TB, id string) ink.Ink {
	t.Helper()
	for _, in := range testInks() {
		if in.ID == id {
			return in
		}
	}
	t.Fatalf("no ink %s", id)
	return ink.Ink{}
}

func hex(t testing.TB, s string) col.RGB8 {
	t.Helper()
	c, err := col.ParseHex(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// request is an order on a garment of this colour, 300 mm wide.
func request(t testing.TB, garment string) Request {
	return Request{
		Inks: testInks(), Ground: hex(t, garment).Lab(), ChokeMM: 0.3,
		PrintWidthMM: 300, PrintHeightMM: 300,
	}
}

// canvas is artwork under construction.
type canvas struct{ *image.NRGBA }

func newCanvas(w, h int) canvas { return canvas{image.NewNRGBA(image.Rect(0, 0, w, h))} }

func (c canvas) fill(x0, y0, x1, y1 int, v color.NRGBA) {
	draw.Draw(c, image.Rect(x0, y0, x1, y1), image.NewUniform(v), image.Point{}, draw.Src)
}

// disc draws an anti-aliased disc.
func (c canvas) disc(cx, cy, r float64, v color.NRGBA) { c.discOf(cx, cy, r, image.NewUniform(v)) }

// discOf cuts an anti-aliased disc out of a picture.
func (c canvas) discOf(cx, cy, r float64, src image.Image) {
	z := vector.NewRasterizer(c.Rect.Dx(), c.Rect.Dy())
	z.MoveTo(float32(cx+r), float32(cy))
	for i := 1; i <= 720; i++ {
		sin, cos := math.Sincos(float64(i) * math.Pi / 360)
		z.LineTo(float32(cx+r*cos), float32(cy+r*sin))
	}
	z.ClosePath()
	z.Draw(c, c.Bounds(), src, image.Point{})
}

func (c canvas) image() *artwork.Image {
	img := &artwork.Image{Width: c.Rect.Dx(), Height: c.Rect.Dy(), Pix: c.Pix}
	for i := 3; i < len(c.Pix); i += 4 {
		img.HasAlpha = img.HasAlpha || c.Pix[i] != 255
	}
	return img
}

func inspected(t testing.TB, img *artwork.Image) *artwork.Inspection {
	t.Helper()
	insp, err := artwork.Inspect(context.Background(), img)
	if err != nil {
		t.Fatal(err)
	}
	return insp
}

// scene is a continuous-tone picture with soft alpha edges.
func scene(w, h int) *artwork.Image {
	c := newCanvas(w, h)
	for y := range h {
		for x := range w {
			u, v := float64(x)/float64(w)*2-1, float64(y)/float64(h)*2-1
			d, hue := math.Hypot(u, v), math.Atan2(v, u)
			s := min(1, d/0.7)
			tone := func(turn float64) uint8 {
				return uint8(255 * (1 - s*(0.5-0.5*math.Cos(hue+turn))) * (0.6 + 0.4*math.Cos(5*v)))
			}
			a := 1 - min(1, max(0, (d-0.7)/0.25))
			c.SetNRGBA(x, y, color.NRGBA{tone(0), tone(2.1), tone(4.2), uint8(255 * a)})
		}
	}
	return c.image()
}

var (
	paintRed   = color.NRGBA{200, 30, 40, 255}
	paintNavy  = color.NRGBA{24, 32, 80, 255}
	paintGold  = color.NRGBA{250, 185, 30, 255}
	paintWhite = color.NRGBA{255, 255, 255, 255}
	paintBlack = color.NRGBA{0, 0, 0, 255}
)
