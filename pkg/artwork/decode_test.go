package artwork

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/color/palette"
	"image/draw"
	"math"
	"testing"

	"tamis/pkg/fault"
)

func TestPNGComesBackExactlyWithItsResolution(t *testing.T) {
	m := picture(64, 48)
	body := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, 11811), 11811)
	img := decoded(t, pngChunked(pngBytes(t, m), "pHYs", append(body, 1)))
	if c, a := largestDifference(t, img, m.Pix); c != 0 || a != 0 {
		t.Errorf("colours differ by %d, alpha by %d", c, a)
	}
	if !img.HasAlpha || math.Abs(img.PPI-300) > 0.01 {
		t.Errorf("alpha %t, %g ppi", img.HasAlpha, img.PPI)
	}
}

func TestPNGOfEveryKindOfPixelIsRead(t *testing.T) {
	m := picture(40, 30)
	opaque := image.NewRGBA(m.Rect)
	draw.Draw(opaque, m.Rect, image.White, image.Point{}, draw.Src)
	draw.Draw(opaque, m.Rect, m, image.Point{}, draw.Over)
	for _, kind := range []draw.Image{
		image.NewGray(m.Rect), image.NewGray16(m.Rect), image.NewRGBA(m.Rect), image.NewRGBA64(m.Rect),
		image.NewNRGBA64(m.Rect), image.NewPaletted(m.Rect, palette.WebSafe),
	} {
		draw.Draw(kind, m.Rect, opaque, image.Point{}, draw.Src)
		img := decoded(t, pngBytes(t, kind))
		want := image.NewNRGBA(m.Rect)
		draw.Draw(want, m.Rect, kind, image.Point{}, draw.Src)
		if c, a := largestDifference(t, img, want.Pix); c > 1 || a != 0 || img.HasAlpha {
			t.Errorf("%T: colours differ by %d (limit 1), alpha by %d", kind, c, a)
		}
	}
}

func TestSixteenBitsAreReducedAndSaid(t *testing.T) {
	m := image.NewNRGBA64(image.Rect(0, 0, 8, 8))
	m.SetNRGBA64(0, 0, color.NRGBA64{0x1234, 0x8000, 0xffff, 0x8080})
	img := decoded(t, pngBytes(t, m))
	if p := [4]uint8(img.Pix); p != [4]uint8{0x12, 0x80, 0xff, 0x80} {
		t.Errorf("pixel %v", p)
	}
	if len(img.Notes) != 1 || img.Notes[0].Code != "bit_depth_reduced" {
		t.Errorf("notes %v", img.Notes)
	}
}

func TestJPEGIsReadAndTurnedAsEXIFSays(t *testing.T) {
	m := image.NewRGBA(image.Rect(0, 0, 32, 16))
	draw.Draw(m, m.Rect, image.White, image.Point{}, draw.Src)
	draw.Draw(m, image.Rect(0, 0, 8, 8), image.NewUniform(color.RGBA{200, 0, 0, 255}), image.Point{}, draw.Src)
	rows := []struct{ orientation, w, h, x, y int }{ // x, y: where the red corner must be
		{1, 32, 16, 3, 3}, {2, 32, 16, 28, 3}, {3, 32, 16, 28, 12}, {4, 32, 16, 3, 12},
		{5, 16, 32, 3, 3}, {6, 16, 32, 12, 3}, {7, 16, 32, 12, 28}, {8, 16, 32, 3, 28},
	}
	for _, r := range rows {
		img := decoded(t, jpegSegmented(jpegBytes(t, m, 95), 0xe1, exif(uint16(r.orientation), 240)))
		if img.Width != r.w || img.Height != r.h || img.PPI != 240 {
			t.Fatalf("orientation %d: %d x %d at %g ppi", r.orientation, img.Width, img.Height, img.PPI)
		}
		p := img.Pix[4*(r.y*img.Width+r.x):]
		if p[0] < 150 || p[1] > 80 {
			t.Errorf("orientation %d: %v where the red corner should be", r.orientation, p[:3])
		}
	}
}

func TestGIFIsPlacedOnItsCanvas(t *testing.T) {
	m := image.NewPaletted(image.Rect(4, 2, 12, 10), color.Palette{color.RGBA{10, 200, 30, 255}, color.RGBA{}})
	img := decoded(t, gifBytes(t, m, image.Rect(0, 0, 20, 16)))
	if img.Width != 20 || img.Height != 16 || !img.HasAlpha {
		t.Fatalf("%d x %d, alpha %t", img.Width, img.Height, img.HasAlpha)
	}
	at := func(x, y int) [4]uint8 { return [4]uint8(img.Pix[4*(y*20+x):]) }
	if at(0, 0)[3] != 0 || at(5, 5) != [4]uint8{10, 200, 30, 255} {
		t.Errorf("outside %v, inside %v", at(0, 0), at(5, 5))
	}
}

// tiffSamples are the pixels of a kind of TIFF, interleaved.
func tiffSamples(order binary.AppendByteOrder, m *image.NRGBA, samples, bits int) []byte {
	var out []byte
	for i := 0; i < len(m.Pix); i += 4 {
		for s := range samples {
			v := m.Pix[i+s%4]
			if bits == 16 {
				out = order.AppendUint16(out, uint16(v)*257)
			} else {
				out = append(out, v)
			}
		}
	}
	return out
}

func TestTIFFOfEveryKindAndCompressionGivesItsSamples(t *testing.T) {
	m := picture(37, 29)
	kinds := []struct {
		name                       string
		samples, bits, photometric int
		alpha                      int
	}{
		{
			"grey",
			1,
			8,
			1,
			0,
		}, {"white is zero", 1, 8, 0, 0}, {"grey 16", 1, 16, 1, 0}, {"RGB", 3, 8, 2, 0}, {"RGB 16", 3, 16, 2, 0},
		{
			"RGB alpha",
			4,
			8,
			2,
			2,
		}, {"RGB alpha 16", 4, 16, 2, 2}, {"grey alpha", 2, 8, 1, 2}, {"CMYK", 4, 8, 5, 0},
	}
	for _, k := range kinds {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			file := simpleTIFF(
				order,
				37,
				29,
				k.samples,
				k.bits,
				k.photometric,
				k.alpha,
				tiffSamples(order, m, k.samples, k.bits),
				nil,
			)
			plain := decoded(t, file)
			if plain.Width != 37 || plain.Height != 29 || plain.PPI != 300 || plain.HasAlpha != (k.alpha > 0) {
				t.Errorf(
					"%s: %d x %d at %g ppi, alpha %t",
					k.name,
					plain.Width,
					plain.Height,
					plain.PPI,
					plain.HasAlpha,
				)
			}
			checkTIFFPixel(t, k.name, plain, m, k.photometric)
			if order == binary.AppendByteOrder(binary.BigEndian) {
				continue
			}
			for _, args := range [][]string{
				{"-c", "none", "-r", "5"}, {"-c", "lzw:2"}, {"-c", "zip:2"}, {"-c", "zip"}, {"-c", "packbits"},
				{"-c", "lzw", "-p", "separate"},
				{"-c", "zip", "-t", "-w", "16", "-l", "16"}, {"-c", "none", "-B"},
			} {
				if args[len(args)-1] == "separate" && k.bits == 16 {
					continue // tiffcp takes 8 bits apart only
				}
				again := decoded(t, run(t, file, "tiffcp", append(args, "in", "out")...))
				if !bytes.Equal(again.Pix, plain.Pix) {
					t.Errorf("%s through tiffcp %v differs", k.name, args)
				}
			}
		}
	}
}

// checkTIFFPixel compares one pixel with what was written; CMYK has a test of its own.
func checkTIFFPixel(t *testing.T, name string, img *Image, m *image.NRGBA, photometric int) {
	t.Helper()
	i := 4 * (12*37 + 20)
	p, w := img.Pix[i:i+4], m.Pix[i:i+4]
	var want []uint8
	switch photometric {
	case 0:
		want = []uint8{255 - w[0], 255 - w[0], 255 - w[0]}
	case 1:
		want = []uint8{w[0], w[0], w[0]}
	case 2:
		want = w[:3]
	default:
		return
	}
	if !bytes.Equal(p[:3], want) {
		t.Errorf("%s: pixel %v, want %v", name, p, want)
	}
}

func TestBilevelTIFFIsRead(t *testing.T) {
	m := image.NewGray(image.Rect(0, 0, 64, 32))
	draw.Draw(m, image.Rect(10, 5, 40, 20), image.White, image.Point{}, draw.Src)
	grey := simpleTIFF(binary.LittleEndian, 64, 32, 1, 8, 1, 0, m.Pix, nil)
	plain := run(t, grey, "tiffdither", "-c", "none", "in", "out")
	for _, photometric := range []string{"1", "0"} {
		for _, c := range []string{"none", "g4", "g3", "lzw", "packbits"} {
			turned := run(t, plain, "sh", "-c", "tiffset -s 262 "+photometric+" in && cp in out")
			img := decoded(t, run(t, turned, "tiffcp", "-c", c, "in", "out"))
			inside, outside := img.Pix[4*(10*64+20)], img.Pix[4*(10*64+50)]
			if photometric == "0" {
				inside, outside = outside, inside
			}
			if inside != 255 || outside != 0 {
				t.Errorf(
					"photometric %s, %s: the white box is %d, the black about it %d",
					photometric,
					c,
					inside,
					outside,
				)
			}
		}
	}
}

func TestUntaggedCMYKIsReadAndSaid(t *testing.T) {
	pix := []byte{
		0, 0, 0, 0, 255, 0, 0, 0, 0, 255, 0, 0, 0, 0, 255, 0, 0, 0, 0, 255, 255, 255, 255, 255,
	}
	img := decoded(t, simpleTIFF(binary.LittleEndian, 6, 1, 4, 8, 5, 0, pix, nil))
	if len(img.Notes) != 1 || img.Notes[0].Code != "cmyk_untagged" {
		t.Errorf("notes %v", img.Notes)
	}
	at := func(i int) [3]uint8 { return [3]uint8(img.Pix[4*i:]) }
	if at(0) != [3]uint8{255, 255, 255} {
		t.Errorf("paper is %v", at(0))
	}
	if p := at(5); max(p[0], p[1], p[2]) > 12 {
		t.Errorf("all inks are %v", p)
	}
	if c, m, y := at(1), at(2), at(3); c[0] > 80 || c[2] < 200 || m[0] < 200 || m[1] > 80 || y[0] < 230 ||
		y[1] < 220 ||
		y[2] > 80 {
		t.Errorf("cyan %v, magenta %v, yellow %v", c, m, y)
	}
}

func TestWrongTypesAreRefused(t *testing.T) {
	file := pngBytes(t, picture(8, 8))
	for _, declared := range []string{"", "application/octet-stream", "image/png", "image/png; charset=x"} {
		if h, err := Probe(file, declared, testLimits()); err != nil || h.MediaType != "image/png" ||
			h.Width != 8 {
			t.Errorf("%q: %v, %v", declared, h, err)
		}
	}
	for _, declared := range []string{"image/jpeg", "text/html"} {
		if _, err := Probe(file, declared, testLimits()); !fault.Is(err, fault.Unsupported) {
			t.Errorf("%q: %v", declared, err)
		}
	}
	for _, data := range [][]byte{nil, []byte("hello"), []byte("%PDF-1.7"), {0xff}, []byte("RIFF....WAVE")} {
		if _, err := Probe(data, "", testLimits()); !fault.Is(err, fault.Unsupported) {
			t.Errorf("%q: %v", data, err)
		}
	}
}

func TestLimitsAreHeldFromTheHeader(t *testing.T) {
	file := pngBytes(t, picture(100, 50))
	for _, lim := range []Limits{{MaxBytes: 100}, {MaxPixels: 4999}} {
		_, err := Probe(file, "", lim)
		f := fault.Of(err)
		if f.Kind != fault.TooLarge || !containsAll(f.Msg, fmt.Sprint(max(lim.MaxBytes, lim.MaxPixels))) {
			t.Errorf("%+v: %v", lim, err)
		}
		if _, err := Decode(context.Background(), file, lim); !fault.Is(err, fault.TooLarge) {
			t.Errorf("decoding under %+v: %v", lim, err)
		}
	}
	if _, err := Probe(file, "", Limits{MaxBytes: int64(len(file)), MaxPixels: 5000}); err != nil {
		t.Errorf("at the limits: %v", err)
	}
}

func containsAll(s string, parts ...string) bool {
	for _, p := range parts {
		if !bytes.Contains([]byte(s), []byte(p)) {
			return false
		}
	}
	return true
}
