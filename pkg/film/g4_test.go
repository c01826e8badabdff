package film

import (
	"bytes"
	"encoding/hex"
	"io"
	"math/rand/v2"
	"testing"

	"golang.org/x/image/ccitt"

	"tamis/pkg/raster"
)

// encodeAll codes a bitmap as one strip.
func encodeAll(b *raster.Bitmap) []byte { return encodeWith(newEncoder(b.Width, newCodes()), b) }

func encodeWith(e encoder, b *raster.Bitmap) []byte {
	out := new(bitBuffer)
	e.start(nil, out)
	for y := range b.Height {
		e.row(b.Row(y))
	}
	out.endOfBlock()
	return out.bytes[:out.n]
}

// fromHex reads rows of hex bytes, the first pixel in the top bit.
func fromHex(t *testing.T, width int, rows ...string) *raster.Bitmap {
	t.Helper()
	b := raster.NewBitmap(width, len(rows))
	for y, row := range rows {
		bytes, err := hex.DecodeString(row)
		if err != nil {
			t.Fatal(err)
		}
		for x := range width {
			b.Set(x, y, bytes[x/8]>>(7-x%8)&1 != 0)
		}
	}
	return b
}

func TestGroup4MatchesLibtiffByteForByte(t *testing.T) {
	long := bytes.Repeat([]byte("00"), 332)
	for _, c := range []struct {
		name  string
		width int
		rows  []string
		want  string // tiffcp -c g4 -f msb2lsb
	}{
		{"white", 16, []string{"0000"}, "80080080"},
		{"black", 16, []string{"ffff"}, "26a0b8008008"},
		{"white x4", 16, []string{"0000", "0000", "0000", "0000"}, "f0010010"},
		{"black x4", 16, []string{"ffff", "ffff", "ffff", "ffff"}, "26a0bfe0020020"},
		{"bar", 16, []string{"0f00", "0f00", "0f00"}, "36ff80080080"},
		{"diagonal", 16, []string{"f000", "f800", "fc00", "fe00"}, "26af7bdc004004"},
		{"pass mode", 16, []string{"3c00", "0000"}, "2ee3001001"},
		{"dot", 32, []string{"00180000", "003c0000", "003c0000", "00180000"}, "28e9fb50010010"},
		{"checker", 8, []string{"aa", "55"}, "26a88e88e825692494004004"},
		{"long run", 2664, []string{string(long) + "01"}, "50010010"},
	} {
		if got := hex.EncodeToString(encodeAll(fromHex(t, c.width, c.rows...))); got != c.want {
			t.Errorf("%s: got %s, want %s (libtiff's tiffcp)", c.name, got, c.want)
		}
	}
}

// hostile draws one of several kinds of bitmap that strain an encoder.
func hostile(r *rand.Rand, width, height int) *raster.Bitmap {
	b := raster.NewBitmap(width, height)
	kind := r.IntN(9)
	density := r.Float64()
	for y := range height {
		for x := range width {
			ink := false
			switch kind {
			case 0: // empty
			case 1:
				ink = true
			case 2:
				ink = (x+y)&1 == 0
			case 3:
				ink = x&1 == 0
			case 4:
				ink = r.Float64() < density
			case 5: // rows alike but for a few shifts
				ink = (x+r.IntN(2)*y/3)/(3+y%5)&1 == 0
			case 6: // long runs
				ink = (x/(700+y%3000))&1 == 1
			case 7: // slanted strokes
				ink = (x+3*y)%17 < 5
			case 8: // dots
				ink = (x%13-6)*(x%13-6)+(y%11-5)*(y%11-5) < 20
			}
			b.Set(x, y, ink)
		}
	}
	return b
}

// sizes are the shapes tried first.
var sizes = [][2]int{{1, 1}, {1, 300}, {2, 2}, {63, 7}, {64, 7}, {65, 7}, {127, 3}, {128, 3}, {129, 3}, {65000, 3},
	{2560, 4}, {2623, 4}, {2624, 4}, {5184, 3}, {300, 1}}

func TestQuadsGiveTheCodeOfTheDefinition(t *testing.T) {
	r, c := rand.New(rand.NewPCG(3, 9)), newCodes()
	for n := range 1500 {
		size := [2]int{1 + r.IntN(700), 1 + r.IntN(20)}
		if n < 9*len(sizes) {
			size = sizes[n%len(sizes)]
		} else if n%100 == 0 {
			size = [2]int{quadsWidth - r.IntN(3), 4}
		}
		b := hostile(r, size[0], size[1])
		if got, want := encodeWith(newQuads(b.Width, c), b), encodeWith(newChanges(b.Width, c), b); !bytes.Equal(got, want) {
			t.Fatalf("case %d, %d x %d: code differs from that of one change at a time", n, b.Width, b.Height)
		}
	}
}

// Runs of more than half of what 16 bits hold make differences of columns look negative.
func TestQuadsCodeGiantRuns(t *testing.T) {
	r, c := rand.New(rand.NewPCG(8, 1)), newCodes()
	for range 300 {
		b := raster.NewBitmap(quadsWidth, 3)
		for y := range b.Height {
			for range r.IntN(4) {
				x := [4]int{r.IntN(4), 32766 + r.IntN(5), quadsWidth - 1 - r.IntN(4), r.IntN(quadsWidth)}[r.IntN(4)]
				raster.FillBits(b.Row(y), x, min(quadsWidth, x+[2]int{1 + r.IntN(3), r.IntN(quadsWidth)}[r.IntN(2)]))
			}
		}
		if got, want := encodeWith(newQuads(b.Width, c), b), encodeWith(newChanges(b.Width, c), b); !bytes.Equal(got, want) {
			t.Fatal("code differs from that of one change at a time")
		}
	}
}

func TestRowsTooWideForQuadsAreCoded(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for _, width := range []int{quadsWidth, quadsWidth + 1, 120000} {
		b := hostile(r, width, 3)
		readBack(t, b, encodeAll(b))
	}
}

// readBack decodes with golang.org/x/image/ccitt and compares.
func readBack(t *testing.T, b *raster.Bitmap, code []byte) {
	t.Helper()
	rd := ccitt.NewReader(bytes.NewReader(code), ccitt.MSB, ccitt.Group4, b.Width, b.Height,
		&ccitt.Options{Invert: true})
	got, err := io.ReadAll(rd)
	if err != nil {
		t.Fatalf("%d x %d: %v", b.Width, b.Height, err)
	}
	stride := (b.Width + 7) / 8
	for y := range b.Height {
		for x := range b.Width {
			if ink := got[y*stride+x/8]>>(7-x%8)&1 != 0; ink != b.At(x, y) {
				t.Fatalf("%d x %d: pixel %d, %d is %v", b.Width, b.Height, x, y, ink)
			}
		}
	}
}

func FuzzGroup4(f *testing.F) {
	f.Add(uint16(1), []byte{0x80})
	f.Add(uint16(16), []byte{0x3c, 0x00, 0x00, 0x00})
	f.Add(uint16(2700), bytes.Repeat([]byte{0xff, 0x00, 0xaa}, 400))
	f.Fuzz(func(t *testing.T, width uint16, data []byte) {
		w := 1 + int(width)%5000
		stride := (w + 7) / 8
		rows := min(len(data)/stride, 24)
		if rows == 0 {
			t.Skip()
		}
		b := raster.NewBitmap(w, rows)
		for y := range rows {
			for x := range w {
				b.Set(x, y, data[y*stride+x/8]>>(7-x%8)&1 != 0)
			}
		}
		readBack(t, b, encodeAll(b))
	})
}
