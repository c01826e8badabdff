package artwork

import (
	"context"
	"encoding/binary"
	"image/color"
	"math"
	"testing"
)

func BenchmarkDecode(b *testing.B) {
	m := painted(3000, 3600, func(x, y int) color.NRGBA {
		f := func(a, c float64) uint8 { return uint8(128 + 100*math.Sin(a*float64(x)/190+c*float64(y)/170)) }
		return color.NRGBA{f(1, 1), f(2, -1), f(-1, 2), 255}
	})
	adobe := profile(b, "compatibleWithAdobeRGB1998.icc")
	cmyk := profile(b, "ghostscript/default_cmyk.icc")
	files := map[string][]byte{
		"png":           pngBytes(b, m),
		"jpeg":          jpegBytes(b, m, 90),
		"tiff":          simpleTIFF(binary.LittleEndian, 3000, 3600, 4, 8, 2, 2, m.Pix, nil),
		"tiff/profile":  simpleTIFF(binary.LittleEndian, 3000, 3600, 4, 8, 2, 2, m.Pix, adobe),
		"tiff/cmyk":     simpleTIFF(binary.LittleEndian, 3000, 3600, 4, 8, 5, 0, m.Pix, cmyk),
		"tiff/untagged": simpleTIFF(binary.LittleEndian, 3000, 3600, 4, 8, 5, 0, m.Pix, nil),
	}
	for _, name := range []string{"png", "jpeg", "tiff", "tiff/profile", "tiff/cmyk", "tiff/untagged"} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Decode(context.Background(), files[name], Limits{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
