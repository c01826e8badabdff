package artwork

import (
	"context"
	"image"
	"image/color"
	"image/draw"
	"math"
	"testing"
)

// BenchmarkInspect looks at 12 Mpx of flat art, line art and soft art.
func BenchmarkInspect(b *testing.B) {
	ink := color.NRGBA{20, 30, 40, 255}
	flat := rays(3000, 4000, color.Transparent, color.NRGBA{200, 30, 40, 255}, ink, color.NRGBA{240, 190, 40, 255})
	lines := image.NewNRGBA(image.Rect(0, 0, 3000, 4000))
	draw.Draw(lines, lines.Rect, image.White, image.Point{}, draw.Src)
	for x := 0; x < 3000; x += 40 {
		draw.Draw(lines, image.Rect(x, 0, x+3, 4000), image.NewUniform(ink), image.Point{}, draw.Src)
	}
	for y := 0; y < 4000; y += 40 {
		draw.Draw(lines, image.Rect(0, y, 3000, y+3), image.NewUniform(ink), image.Point{}, draw.Src)
	}
	soft := painted(3000, 4000, func(x, y int) color.NRGBA {
		f := func(a, c float64) uint8 { return uint8(128 + 100*math.Sin(a*float64(x)/190+c*float64(y)/170)) }
		return color.NRGBA{f(1, 1), f(2, -1), f(-1, 2), 255}
	})
	for name, m := range map[string]*image.NRGBA{"flat": flat, "lines": lines, "soft": soft} {
		img := &Image{Width: 3000, Height: 4000, Pix: m.Pix, HasAlpha: name == "flat"}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Inspect(context.Background(), img); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/12e6, "ns/px")
		})
	}
}
