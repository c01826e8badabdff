package artwork

import (
	"bytes"
	"image"
	"image/draw"
	"image/png"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestWrittenPNGsAreReadBack compares with what image/png reads: opaque and not, of all small sizes.
func TestWrittenPNGsAreReadBack(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for n := range 400 {
		m := image.NewNRGBA(image.Rect(0, 0, 1+n%20, 1+n/20))
		for i := range m.Pix {
			m.Pix[i] = uint8(r.IntN(256))
			if i%4 == 3 && n%2 == 0 {
				m.Pix[i] = 255
			}
		}
		var file bytes.Buffer
		if err := WritePNG(&file, m.Pix, m.Rect.Dx(), m.Rect.Dy()); err != nil {
			t.Fatal(err)
		}
		decoded, err := png.Decode(&file)
		if err != nil {
			t.Fatal(err)
		}
		back := image.NewNRGBA(m.Rect)
		if d, ok := decoded.(*image.NRGBA); ok {
			back = d
		} else {
			draw.Draw(back, m.Rect, decoded, image.Point{}, draw.Src)
		}
		if decoded.Bounds() != m.Rect || !slices.Equal(back.Pix, m.Pix) {
			t.Fatalf("%v: other pixels", m.Rect)
		}
	}
}

func BenchmarkWritePNG(b *testing.B) {
	const w, h = 1044, 1344
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	r := rand.New(rand.NewPCG(11, 12))
	for i := range m.Pix {
		m.Pix[i] = uint8(i/64%256/2 + i/w/64 + r.IntN(9))
		if i%4 == 3 {
			m.Pix[i] = 255
		}
	}
	for name, write := range map[string]func(w *bytes.Buffer) error{
		"ours": func(w *bytes.Buffer) error { return WritePNG(w, m.Pix, m.Rect.Dx(), m.Rect.Dy()) },
		"image/png": func(w *bytes.Buffer) error {
			return (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(w, m)
		},
	} {
		b.Run(name, func(b *testing.B) {
			var file bytes.Buffer
			for b.Loop() {
				file.Reset()
				if err := write(&file); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(file.Len()), "bytes")
		})
	}
}
