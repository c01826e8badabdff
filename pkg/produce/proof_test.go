package produce_test

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"testing"

	"tamis/pkg/produce"
)

func proofOf(t *testing.T, art []byte, extra string) image.Image {
	t.Helper()
	s := newShelf()
	if _, err := produce.Run(t.Context(), input(t, art, extra), s); err != nil {
		t.Fatalf("%s: %v", extra, err)
	}
	img, err := png.Decode(bytes.NewReader(s.bytes[s.files["proof.png"].SHA256]))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// meanCode is the mean difference of two pictures of about the same size, in codes.
func meanCode(a, b image.Image) float64 {
	sum, n := 0.0, 0.0
	box := a.Bounds().Intersect(b.Bounds())
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			r, g, bl, _ := a.At(x, y).RGBA()
			r2, g2, b2, _ := b.At(x, y).RGBA()
			for _, d := range [3]float64{float64(r) - float64(r2), float64(g) - float64(g2), float64(bl) - float64(b2)} {
				sum += math.Abs(d) / 257
				n++
			}
		}
	}
	return sum / n
}

func TestAProofFromTheFilmsShowsWhatTheTonesMeant(t *testing.T) {
	if testing.Short() {
		t.Skip("pixels by the million: the race detector's pass has shorter jobs with the same goroutines")
	}
	for _, extra := range []string{"", `,"halftone":{"kind":"fm"}`} {
		art := picture(t, true)
		tones := proofOf(t, art, extra+`,"proof":{"max_px":120}`)
		films := proofOf(t, art, extra+`,"proof":{"max_px":120,"from":"films"}`)
		if d := meanCode(tones, films); d > 9 || d == 0 {
			t.Errorf("%s: the proof from films is %.2f codes off that from tones", extra, d)
		}
		slipped := proofOf(t, art, extra+`,"proof":{"max_px":120,"register_error_mm":2}`)
		if d := meanCode(tones, slipped); d < 1 {
			t.Errorf("%s: 2 mm out of register changes the proof by %.2f codes", extra, d)
		}
	}
}
