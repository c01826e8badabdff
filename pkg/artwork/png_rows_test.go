package artwork

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/png"
	"math/rand/v2"
	"testing"

	"github.com/klauspost/compress/zlib"
)

// filteredPNG packs any bytes as the filtered rows of a PNG, in chunks of any size.
func filteredPNG(t testing.TB, r *rand.Rand, width, height int, form pngForm) []byte {
	t.Helper()
	rows := make([]byte, 0, height*(1+int(form)*width))
	for range height {
		rows = append(rows, byte(r.IntN(5)))
		for range int(form) * width {
			rows = append(rows, [3]byte{0, byte(r.IntN(8)), byte(r.IntN(256))}[r.IntN(3)])
		}
	}
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	if _, err := z.Write(rows); err != nil {
		t.Fatal(err)
	}
	z.Close()
	header := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(width)), uint32(height))
	header = append(header, 8, map[pngForm]byte{pngGrey: 0, pngRGB: 2, pngRGBA: 6}[form], 0, 0, 0)
	file := append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", header)...)
	for packed.Len() > 0 {
		file = append(file, chunk("IDAT", packed.Next(1+r.IntN(4000)))...)
	}
	return append(file, chunk("IEND", nil)...)
}

func chunk(name string, body []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	out = append(append(out, name...), body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}

func TestRowsOfAPNGAreThoseOfTheStandardDecoder(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	for n := range 300 {
		width, height, form := 1+r.IntN(90), 1+r.IntN(40), [3]pngForm{pngGrey, pngRGB, pngRGBA}[n%3]
		if n%50 == 0 {
			width = 20000 // bands of one row
		}
		data := filteredPNG(t, r, width, height, form)
		got, ok := pngRows(data, Header{Width: width, Height: height})
		if !ok {
			t.Fatalf("%d x %d, %d bytes a pixel: left to the standard decoder", width, height, form)
		}
		img, err := png.Decode(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		want := fromImage(img)
		if got.channels != want.channels || got.ready != want.ready || !bytes.Equal(got.pix, want.pix) {
			t.Fatalf("%d x %d, %d bytes a pixel: not the same pixels", width, height, form)
		}
	}
}

func TestADamagedPNGIsLeftToTheStandardDecoder(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 2))
	for range 400 {
		data := filteredPNG(t, r, 30, 20, pngRGB)
		switch at := 33 + r.IntN(len(data)-33); r.IntN(3) {
		case 0:
			data = data[:at]
		case 1:
			data[at] ^= 1 << r.IntN(8)
		default: // a stream that goes on, or stops short, under right check sums
			data = append(data[:len(data)-12], append(chunk("IDAT", []byte{1}), chunk("IEND", nil)...)...)
		}
		got, ok := pngRows(data, Header{Width: 30, Height: 20})
		img, err := png.Decode(bytes.NewReader(data))
		if !ok {
			continue
		}
		if err != nil {
			t.Fatalf("taken, where the standard decoder says %v", err)
		}
		if !bytes.Equal(got.pix, fromImage(img).pix) {
			t.Fatal("taken with other pixels")
		}
	}
}

func BenchmarkDecodePNG(b *testing.B) {
	const width, height = 1800, 2400
	r, img := rand.New(rand.NewPCG(9, 3)), image.NewNRGBA(image.Rect(0, 0, width, height))
	for i := range img.Pix {
		img.Pix[i] = uint8(i/4%width/16+i/4/width/16+r.IntN(16)) | uint8(255*(i%4/3))
	}
	var file bytes.Buffer
	if err := png.Encode(&file, img); err != nil {
		b.Fatal(err)
	}
	b.Run("rows", func(b *testing.B) {
		for b.Loop() {
			pngRows(file.Bytes(), Header{Width: width, Height: height})
		}
		b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/width/height, "ns/px")
	})
	b.Run("standard", func(b *testing.B) {
		for b.Loop() {
			if _, err := png.Decode(bytes.NewReader(file.Bytes())); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/width/height, "ns/px")
	})
}
