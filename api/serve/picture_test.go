package serve_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"
)

// flatPNG is a small flat picture: a red disk on a blue square on nothing.
func flatPNG(t testing.TB, size int) []byte {
	t.Helper()
	img := image.NewNRGBA(image.Rect(0, 0, size, size))
	r := size / 4
	for y := range size {
		for x := range size {
			dx, dy := x-size/2, y-size/2
			switch {
			case dx*dx+dy*dy < r*r:
				img.SetNRGBA(x, y, color.NRGBA{200, 50, 43, 255})
			case max(dx, -dx) < size*2/5 && max(dy, -dy) < size*2/5:
				img.SetNRGBA(x, y, color.NRGBA{40, 80, 170, 255})
			}
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// gradientJPEG is a small continuous-tone picture.
func gradientJPEG(t testing.TB, size int) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, size, size))
	for y := range size {
		for x := range size {
			img.SetRGBA(x, y, color.RGBA{uint8(255 * x / size), uint8(255 * y / size), uint8(255 * (2*size - x - y) / (2 * size)), 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
