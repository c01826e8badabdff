package artwork

import (
	"bytes"
	"context"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// testLimits are ample for every file of the tests.
func testLimits() Limits { return Limits{MaxBytes: 64 << 20, MaxPixels: 20e6} }

func decoded(t testing.TB, data []byte) *Image {
	t.Helper()
	img, err := Decode(context.Background(), data, testLimits())
	if err != nil {
		t.Fatal(err)
	}
	if len(img.Pix) != 4*img.Width*img.Height {
		t.Fatalf("%d bytes for %d x %d", len(img.Pix), img.Width, img.Height)
	}
	return img
}

// picture is a small picture with every channel and alpha at work.
func picture(w, h int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetNRGBA(
				x,
				y,
				color.NRGBA{
					uint8(x * 255 / w),
					uint8(y * 255 / h),
					uint8((x ^ y) * 5),
					uint8(255 - x*y*255/(w*h)),
				},
			)
		}
	}
	return m
}

func pngBytes(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// pngChunked inserts a chunk after IHDR.
func pngChunked(file []byte, name string, body []byte) []byte {
	var c bytes.Buffer
	_ = binary.Write(&c, binary.BigEndian, uint32(len(body)))
	c.WriteString(name)
	c.Write(body)
	_ = binary.Write(&c, binary.BigEndian, crc32.ChecksumIEEE(c.Bytes()[4:]))
	return append(append(append([]byte{}, file[:33]...), c.Bytes()...), file[33:]...)
}

func jpegBytes(t testing.TB, m image.Image, quality int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: quality}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// jpegSegmented inserts a marker segment after SOI.
func jpegSegmented(file []byte, marker byte, body []byte) []byte {
	seg := binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(body)+2))
	return append(append(append([]byte{}, file[:2]...), append(seg, body...)...), file[2:]...)
}

// exif is an EXIF block that names an orientation and a resolution.
func exif(orientation uint16, ppi uint32) []byte {
	e := []byte("Exif\x00\x00")
	return append(
		e,
		tiffBytes(
			binary.BigEndian,
			[]tag{{274, 3, []uint32{uint32(orientation)}}, {282, 5, []uint32{ppi, 1}}},
			nil,
		)...)
}

func gifBytes(t testing.TB, m *image.Paletted, canvas image.Rectangle) []byte {
	t.Helper()
	var b bytes.Buffer
	g := &gif.GIF{Image: []*image.Paletted{m}, Delay: []int{0}, Config: image.Config{
		ColorModel: m.Palette, Width: canvas.Dx(), Height: canvas.Dy()}}
	if err := gif.EncodeAll(&b, g); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// tag is one TIFF entry: kind 3 SHORT, 4 LONG, 5 RATIONAL (pairs), 7 bytes.
type tag struct {
	id, kind uint16
	v        []uint32
}

// tiffBytes writes one directory after the pixels, which start at byte 8. Tags must be in order.
func tiffBytes(order binary.AppendByteOrder, tags []tag, pixels []byte) []byte {
	mark := "II"
	if order == binary.AppendByteOrder(binary.BigEndian) {
		mark = "MM"
	}
	if len(pixels)%2 == 1 {
		pixels = append(pixels, 0)
	}
	out := order.AppendUint16([]byte(mark), 42)
	out = order.AppendUint32(out, uint32(8+len(pixels)))
	out = append(out, pixels...)
	out = order.AppendUint16(out, uint16(len(tags)))
	extra, extraAt := []byte{}, uint32(len(out)+12*len(tags)+4)
	for _, g := range tags {
		var body []byte
		for _, v := range g.v {
			switch g.kind {
			case 3:
				body = order.AppendUint16(body, uint16(v))
			case 7:
				body = append(body, byte(v))
			default:
				body = order.AppendUint32(body, v)
			}
		}
		n := len(g.v)
		if g.kind == 5 {
			n /= 2
		}
		out = order.AppendUint32(order.AppendUint16(order.AppendUint16(out, g.id), g.kind), uint32(n))
		if len(body) <= 4 {
			out = append(out, append(body, make([]byte, 4-len(body))...)...)
			continue
		}
		out = order.AppendUint32(out, extraAt+uint32(len(extra)))
		extra = append(extra, body...)
		if len(extra)%2 == 1 {
			extra = append(extra, 0)
		}
	}
	return append(append(out, 0, 0, 0, 0), extra...)
}

// simpleTIFF is one strip of interleaved samples. alpha is ExtraSamples' value, 0 for none; profile may be nil.
func simpleTIFF(
	order binary.AppendByteOrder,
	w, h, samples, bits, photometric, alpha int,
	pixels, profile []byte,
) []byte {
	depth := make([]uint32, samples)
	for i := range depth {
		depth[i] = uint32(bits)
	}
	one := func(id uint16, v int) tag { return tag{id, 4, []uint32{uint32(v)}} }
	tags := []tag{
		one(
			256,
			w,
		), one(257, h), {258, 3, depth}, {259, 3, []uint32{1}}, {262, 3, []uint32{uint32(photometric)}},
		one(273, 8), {277, 3, []uint32{uint32(samples)}}, one(278, h), one(279, len(pixels)),
		{282, 5, []uint32{300, 1}}, {283, 5, []uint32{300, 1}}, {284, 3, []uint32{1}}, {296, 3, []uint32{2}},
	}
	if alpha > 0 {
		tags = append(tags, tag{338, 3, []uint32{uint32(alpha)}})
	}
	if profile != nil {
		v := make([]uint32, len(profile))
		for i, b := range profile {
			v[i] = uint32(b)
		}
		tags = append(tags, tag{34675, 7, v})
	}
	return tiffBytes(order, tags, pixels)
}

// run runs a reference program in a fresh directory on in, and gives what it wrote to out.
func run(t testing.TB, in []byte, name string, args ...string) []byte {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "in"), in, 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	if msg, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, msg)
	}
	out, err := os.ReadFile(filepath.Join(dir, "out"))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// largestDifference compares colours where alpha is not 0, and alpha.
func largestDifference(t testing.TB, got *Image, want []uint8) (colors, alpha int) {
	t.Helper()
	if len(got.Pix) != len(want) {
		t.Fatalf("%d bytes, want %d", len(got.Pix), len(want))
	}
	for i := 0; i < len(want); i += 4 {
		for c := range 4 {
			d := int(got.Pix[i+c]) - int(want[i+c])
			switch {
			case c == 3:
				alpha = max(alpha, d, -d)
			case want[i+3] != 0:
				colors = max(colors, d, -d)
			}
		}
	}
	return colors, alpha
}
