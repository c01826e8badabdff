package artwork

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"math/rand/v2"
	"testing"

	"golang.org/x/image/vector"
)

// grainy is a picture of soft colours, or greys, under grain; no pixel of it lies still.
func grainy(w, h int, grey bool) *image.NRGBA {
	rng := rand.New(rand.NewPCG(3, 4))
	return painted(w, h, func(x, y int) color.NRGBA {
		f := func(a, b float64) uint8 {
			v := 120 + 80*math.Sin(a*float64(x)/40+b*float64(y)/30) + 25*(rng.Float64()-0.5)
			return uint8(v)
		}
		r, g, b := f(1, 1), f(2, -1), f(-1, 2)
		if grey {
			g, b = r, r
		}
		return color.NRGBA{r, g, b, 255}
	})
}

// on lays a picture in the middle of a canvas.
func on(ground color.Color, w, h int, m *image.NRGBA) *image.NRGBA {
	canvas := image.NewNRGBA(image.Rect(0, 0, w, h))
	draw.Draw(canvas, canvas.Rect, image.NewUniform(ground), image.Point{}, draw.Src)
	at := image.Pt((w-m.Rect.Dx())/2, (h-m.Rect.Dy())/2)
	draw.Draw(canvas, m.Rect.Add(at), m, image.Point{}, draw.Over)
	return canvas
}

// hairs draws anti-aliased lines, no pixel of which lies still, in turns of the colours.
func hairs(ground color.Color, widthPX float64, colors ...color.Color) *image.NRGBA {
	const size = 400
	m := on(ground, size, size, image.NewNRGBA(image.Rectangle{}))
	for i := range 12 {
		z := vector.NewRasterizer(size, size)
		y, drop := float64(20+30*i), 8*math.Sin(float64(i))
		z.MoveTo(10, float32(y))
		z.LineTo(size-10, float32(y+drop))
		z.LineTo(size-10, float32(y+drop+widthPX))
		z.LineTo(10, float32(y+widthPX))
		z.ClosePath()
		z.Draw(m, m.Rect, image.NewUniform(colors[i%len(colors)]), image.Point{})
	}
	return m
}

// specked is a shape of one colour worn away by hard specks, so that few of its pixels lie still.
func specked(c color.NRGBA) *image.NRGBA {
	rng := rand.New(rand.NewPCG(5, 6))
	return painted(200, 200, func(x, y int) color.NRGBA {
		if rng.IntN(4) == 0 {
			return color.NRGBA{}
		}
		return c
	})
}

func throughJPEG(t *testing.T, m *image.NRGBA, quality int) *image.NRGBA {
	t.Helper()
	img := decoded(t, jpegBytes(t, m, quality))
	return &image.NRGBA{Pix: img.Pix, Stride: 4 * img.Width, Rect: m.Rect}
}

func TestAPictureOnASheetIsNotFlat(t *testing.T) {
	rows := []struct {
		name string
		m    *image.NRGBA
	}{
		{"a small picture on white", on(color.White, 750, 750, grainy(125, 150, false))},
		{"the same through JPEG", throughJPEG(t, on(color.White, 750, 750, grainy(125, 150, false)), 85)},
		{"a large picture on white", on(color.White, 400, 400, grainy(320, 320, false))},
		{"a grey picture on white", on(color.White, 600, 600, grainy(200, 200, true))},
		{"a small picture on nothing", on(color.Transparent, 750, 750, grainy(125, 150, false))},
		{"a small picture on black", on(color.Black, 750, 750, grainy(125, 150, false))},
	}
	for _, r := range rows {
		if insp := inspected(t, r.m); insp.Kind == Flat {
			t.Errorf("%s is flat: %v", r.name, insp.Colors)
		}
	}
}

func TestFlatArtStaysFlat(t *testing.T) {
	red, blue := color.NRGBA{200, 30, 40, 255}, color.NRGBA{20, 40, 120, 255}
	art := rays(500, 400, color.White, red, blue)
	worn := on(color.Transparent, 320, 320, specked(red))
	wornOnWhite := on(color.White, 320, 320, specked(blue))
	for name, m := range map[string]*image.NRGBA{"JPEG 90": throughJPEG(t, art, 90), "JPEG 60": throughJPEG(t, art, 60),
		"worn": worn, "worn, on white": wornOnWhite} {
		if insp := inspected(t, m); insp.Kind != Flat {
			t.Errorf("%s: %s, %v", name, insp.Kind, insp.Colors)
		}
	}
}

func TestLineWorkIsFlat(t *testing.T) {
	teal, ink := color.NRGBA{20, 130, 120, 255}, color.NRGBA{20, 20, 24, 255}
	rows := []struct {
		name string
		m    *image.NRGBA
		want []string // colours that must be named
		most int      // and at most so many
	}{
		{"hairs on nothing", hairs(color.Transparent, 1, teal), []string{"#148278"}, 1},
		{"of two colours", hairs(color.Transparent, 1, teal, ink), []string{"#148278", "#141418"}, 2},
		{"of 2 px", hairs(color.Transparent, 2, teal), []string{"#148278"}, 1},
		{"on white", hairs(color.White, 2, ink), []string{"#ffffff"}, 2},
		{"on white through JPEG", throughJPEG(t, hairs(color.White, 2, ink), 80), []string{"#ffffff"}, 2},
	}
	for _, r := range rows {
		insp := inspected(t, r.m)
		named, sum := map[string]bool{}, 0.0
		for _, c := range insp.Colors {
			named[c.Hex], sum = true, sum+c.Share
		}
		if insp.Kind != Flat || len(insp.Colors) > r.most || math.Abs(sum-1) > 1e-3 {
			t.Errorf("%s: %s, %v", r.name, insp.Kind, insp.Colors)
		}
		for _, hex := range r.want {
			if !named[hex] {
				t.Errorf("%s: %v lacks %s", r.name, insp.Colors, hex)
			}
		}
	}
}
