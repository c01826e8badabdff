package artwork

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/binary"
	"image"
	"image/color/palette"
	"runtime"
	"testing"

	"tamis/pkg/fault"
)

// smallWebP is a lossless WebP of 1 x 1, made by hand from the format's description.
func smallWebP(t testing.TB) []byte {
	t.Helper()
	data, err := base64.StdEncoding.DecodeString("UklGRhoAAABXRUJQVlA4TA0AAAAvAAAAEAcQERGIiP4HAA==")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// samples is one good file of every format.
func samples(t testing.TB) map[string][]byte {
	m := picture(33, 21)
	p := image.NewPaletted(m.Rect, palette.WebSafe)
	for i := range p.Pix {
		p.Pix[i] = uint8(i % 200)
	}
	return map[string][]byte{
		"PNG":  pngBytes(t, m),
		"JPEG": jpegBytes(t, m, 80),
		"GIF":  gifBytes(t, p, p.Rect),
		"TIFF": simpleTIFF(binary.LittleEndian, 33, 21, 4, 8, 2, 2, m.Pix, nil),
		"WebP": smallWebP(t),
	}
}

func TestEveryFormatIsReadAndItsEveryBeginningIsNoCrash(t *testing.T) {
	for name, data := range samples(t) {
		decoded(t, data)
		for n := range data {
			img, err := Decode(context.Background(), data[:n], testLimits())
			if err == nil && n < len(data)-16 { // a trailer may be missing: GIF's last byte, PNG's IEND
				t.Errorf(
					"%s: the first %d of %d bytes decode to %d x %d",
					name,
					n,
					len(data),
					img.Width,
					img.Height,
				)
			}
			if k := fault.Of(err).Kind; err != nil && k != fault.Invalid && k != fault.Unsupported {
				t.Errorf("%s: the first %d bytes: %v", name, n, err)
			}
		}
	}
}

// huge is a file of each format whose header says as many pixels as it can.
func huge(t testing.TB) map[string][]byte {
	list := map[string][]byte{}
	png := append([]byte{}, pngBytes(t, picture(4, 4))...)
	binary.BigEndian.PutUint32(png[16:], 0x7fffffff)
	binary.BigEndian.PutUint32(png[20:], 0x7fffffff)
	list["PNG"] = png
	jpg := append([]byte{}, jpegBytes(t, picture(4, 4), 80)...)
	sof := bytes.Index(jpg, []byte{0xff, 0xc0})
	copy(jpg[sof+5:], []byte{0xff, 0xff, 0xff, 0xff})
	list["JPEG"] = jpg
	list["TIFF"] = simpleTIFF(binary.LittleEndian, 60000, 60000, 4, 16, 5, 0, []byte{1, 2, 3, 4}, nil)
	list["GIF"] = []byte("GIF89a\xff\xff\xff\xff\x00\x00\x00,\x00\x00\x00\x00\xff\xff\xff\xff\x00\x02\x00;")
	webp := append([]byte{}, smallWebP(t)...)
	binary.LittleEndian.PutUint32(webp[21:], 0x0fffffff)
	list["WebP"] = webp
	return list
}

func TestHugeHeadersAreRefusedWithoutMemory(t *testing.T) {
	for name, data := range huge(t) {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Decode(context.Background(), data, testLimits())
		runtime.ReadMemStats(&after)
		if !fault.Is(err, fault.TooLarge) {
			t.Errorf("%s: %v", name, err)
		}
		if n := after.TotalAlloc - before.TotalAlloc; n > 1<<20 {
			t.Errorf("%s: %d bytes allocated for a refusal", name, n)
		}
	}
}

func TestTIFFsThatLieAboutTheirBlocksAreRefused(t *testing.T) {
	pix := make([]byte, 64)
	one := func(id uint16, v uint32) tag { return tag{id, 4, []uint32{v}} }
	base := func(extra ...tag) []byte {
		tags := []tag{
			one(256, 4),
			one(257, 4),
			{258, 3, []uint32{8}},
			{259, 3, []uint32{1}},
			{262, 3, []uint32{1}},
		}
		return tiffBytes(binary.LittleEndian, append(tags, extra...), pix)
	}
	for name, data := range map[string][]byte{
		"strip outside":    base(one(273, 1<<31), one(278, 4), one(279, 16)),
		"count outside":    base(one(273, 8), one(278, 4), one(279, 1<<31)),
		"no strips":        base(),
		"too few strips":   base(one(273, 8), one(278, 1), one(279, 4)),
		"short strip":      base(one(273, 8), one(278, 4), one(279, 3)),
		"tile of 2^30":     base(one(322, 1<<30), one(323, 1<<30), one(324, 8), one(325, 16)),
		"tile of no width": base(one(278, 0), one(322, 16), one(323, 0), one(324, 8), one(325, 16)),
		"1000 samples":     base(one(273, 8), tag{277, 3, []uint32{1000}}, one(278, 4), one(279, 16)),
		"floats":           base(one(273, 8), one(278, 4), one(279, 16), tag{339, 3, []uint32{3}}),
	} {
		_, err := Decode(context.Background(), data, testLimits())
		if k := fault.Of(err).Kind; err == nil || k != fault.Invalid && k != fault.Unsupported {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestAJPEGOfManyScansIsRefused(t *testing.T) {
	data := jpegBytes(t, picture(8, 8), 80)
	for range maxScans + 1 {
		data = append(data, 0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0)
	}
	if _, err := Probe(data, "", testLimits()); !fault.Is(err, fault.TooLarge) {
		t.Errorf("%v", err)
	}
}

// FuzzDecode: whatever the bytes, decoding ends with a picture of the header's size (or turned) or with a fault that
// is the sender's, never ours.
func FuzzDecode(f *testing.F) {
	seeds := 0
	for _, set := range []map[string][]byte{samples(f), huge(f)} {
		for _, data := range set {
			f.Add(data)
			seeds++
		}
	}
	if seeds < 10 {
		f.Fatalf("only %d seeds", seeds)
	}
	lim := Limits{MaxBytes: 1 << 20, MaxPixels: 1 << 20}
	f.Fuzz(func(t *testing.T, data []byte) {
		h, err := Probe(data, "", lim)
		img, derr := Decode(context.Background(), data, lim)
		for _, e := range []error{err, derr} {
			if fault.Is(e, fault.Internal) {
				t.Fatalf("a fault of ours: %v", e)
			}
		}
		if err != nil && derr == nil {
			t.Fatalf("decodes but does not probe: %v", err)
		}
		if derr == nil &&
			!(img.Width == h.Width && img.Height == h.Height || img.Width == h.Height && img.Height == h.Width) {
			t.Fatalf("%d x %d decoded, %d x %d probed", img.Width, img.Height, h.Width, h.Height)
		}
	})
}

// FuzzProfile: whatever an embedded profile says, the picture decodes, or the fault is the sender's.
func FuzzProfile(f *testing.F) {
	names := []string{"compatibleWithAdobeRGB1998.icc", "Gray.icc", "LStar-RGB.icc"} // small: big seeds stall the fuzzer
	for _, name := range names {
		f.Add(profile(f, name), uint8(len(name)))
	}
	f.Fuzz(func(t *testing.T, icc []byte, kind uint8) {
		samples, photometric := []int{1, 3, 4}[kind%3], []int{1, 2, 5}[kind%3]
		pix := make([]byte, 16*samples)
		for i := range pix {
			pix[i] = byte(i * 37)
		}
		data := simpleTIFF(binary.LittleEndian, 4, 4, samples, 8, photometric, 0, pix, icc)
		img, err := Decode(context.Background(), data, testLimits())
		if fault.Is(err, fault.Internal) {
			t.Fatalf("a fault of ours: %v", err)
		}
		if err == nil && len(img.Pix) != 64 {
			t.Fatalf("%d bytes for 4 x 4", len(img.Pix))
		}
	})
}
