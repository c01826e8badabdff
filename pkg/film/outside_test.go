package film

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	xtiff "golang.org/x/image/tiff"

	"tamis/pkg/raster"
)

// run runs a reference program; one that is missing fails the test.
func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, out)
	}
	return string(out)
}

// sameBits compares rows packed first pixel in the top bit, 1 black, with a bitmap.
func sameBits(t *testing.T, who string, b *raster.Bitmap, at func(x, y int) bool) {
	t.Helper()
	for y := range b.Height {
		for x := range b.Width {
			if at(x, y) != b.At(x, y) {
				t.Fatalf("%s: pixel %d, %d differs", who, x, y)
			}
		}
	}
}

// blackAt reads a decoded bilevel image.
func blackAt(img image.Image) func(x, y int) bool {
	return func(x, y int) bool {
		r, _, _, _ := img.At(x, y).RGBA()
		return r < 0x8000
	}
}

func TestFilmsReadBackThroughLibtiff(t *testing.T) {
	dir := t.TempDir()
	l := mustLay(t, small())
	for _, p := range plates(t, l) {
		bytes, film := mustWrite(t, l, p)
		in, out := filepath.Join(dir, "film.tif"), filepath.Join(dir, "plain.tif")
		if err := os.WriteFile(in, bytes, 0o600); err != nil {
			t.Fatal(err)
		}
		run(t, "tiffcp", "-c", "none", in, out)
		info := run(t, "tiffinfo", "-s", in)
		for _, want := range []string{"Compression Scheme: CCITT Group 4", "Photometric Interpretation: min-is-white",
			"Resolution: 360, 180 pixels/inch", "PageName: " + film.Legend, "1 Strips"} {
			if !strings.Contains(info, want) {
				t.Errorf("tiffinfo does not say %q:\n%s", want, info)
			}
		}
		if strings.Contains(strings.ToLower(info), "warning") || strings.Contains(info, "DateTime") {
			t.Errorf("tiffinfo:\n%s", info)
		}
		f, err := os.Open(out)
		if err != nil {
			t.Fatal(err)
		}
		img, err := xtiff.Decode(f)
		if err != nil {
			t.Fatal(err)
		}
		sameBits(t, "libtiff", rendered(l, p), blackAt(img))
	}
}

// TestTenThousandHostileBitmapsReadBackBitForBit has every one decoded by golang.org/x/image/ccitt and by libtiff, which
// reads five hundred pages in a call: empty, full, checkerboards, noise, long runs, 1 x 1, a pixel wide, 65,000 wide.
func TestTenThousandHostileBitmapsReadBackBitForBit(t *testing.T) {
	const count, batch = 10000, 500
	dir, r := t.TempDir(), rand.New(rand.NewPCG(8, 9))
	for from := 0; from < count; from += batch {
		var bitmaps []*raster.Bitmap
		var codes [][]byte
		for n := from; n < from+batch; n++ {
			size := [2]int{1 + r.IntN(200), 1 + r.IntN(14)}
			if n < 9*len(sizes) {
				size = sizes[n%len(sizes)]
			}
			b := hostile(r, size[0], size[1])
			bitmaps, codes = append(bitmaps, b), append(codes, encodeAll(b))
			readBack(t, b, codes[len(codes)-1])
		}
		in, out := filepath.Join(dir, "in.tif"), filepath.Join(dir, "out.tif")
		if err := os.WriteFile(in, multipage(bitmaps, codes), 0o600); err != nil {
			t.Fatal(err)
		}
		if said := run(t, "tiffcp", "-c", "none", in, out); said != "" {
			t.Fatalf("tiffcp says %s", said)
		}
		pages := readPages(t, out, bitmaps)
		if len(pages) != batch {
			t.Fatalf("libtiff read %d pages of %d", len(pages), batch)
		}
		for i, at := range pages {
			sameBits(t, fmt.Sprintf("libtiff, bitmap %d", from+i), bitmaps[i], at)
		}
	}
}

// multipage wraps strips in one TIFF, a page each.
func multipage(bitmaps []*raster.Bitmap, codes [][]byte) []byte {
	le := binary.LittleEndian
	data := []byte{'I', 'I', 42, 0, 8, 0, 0, 0}
	for i, b := range bitmaps {
		entries := [][3]int{{256, 4, b.Width}, {257, 4, b.Height}, {258, 3, 1}, {259, 3, 4}, {262, 3, 0}, {266, 3, 1},
			{tagStripOffsets, 4, 0}, {277, 3, 1}, {278, 4, b.Height}, {tagStripByteCounts, 4, len(codes[i])}, {293, 4, 0}}
		strip := len(data) + 2 + 12*len(entries) + 4
		data = le.AppendUint16(data, uint16(len(entries)))
		for _, e := range entries {
			if e[0] == tagStripOffsets {
				e[2] = strip
			}
			data = le.AppendUint16(le.AppendUint16(data, uint16(e[0])), uint16(e[1]))
			data = le.AppendUint32(le.AppendUint32(data, 1), uint32(e[2]))
		}
		next := (strip + len(codes[i]) + 1) &^ 1
		if i == len(bitmaps)-1 {
			next = 0
		}
		data = append(le.AppendUint32(data, uint32(next)), codes[i]...)
		data = append(data, make([]byte, len(data)&1)...)
	}
	return data
}

// readPages reads the pages of an uncompressed bilevel TIFF as libtiff writes it.
func readPages(t *testing.T, name string, bitmaps []*raster.Bitmap) []func(x, y int) bool {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var pages []func(x, y int) bool
	for at := binary.LittleEndian.Uint32(data[4:]); at != 0; {
		n := int(binary.LittleEndian.Uint16(data[at:]))
		pages = append(pages, page(data, data[at+2:], n, bitmaps[len(pages)].Width))
		at = binary.LittleEndian.Uint32(data[int(at)+2+12*n:])
	}
	return pages
}

// page joins the strips of one directory of n entries.
func page(data, dir []byte, n, width int) func(x, y int) bool {
	longs := func(tag uint16) (v []int) {
		for e := range n {
			entry := dir[12*e:]
			if binary.LittleEndian.Uint16(entry) != tag {
				continue
			}
			size := map[uint16]int{3: 2, 4: 4}[binary.LittleEndian.Uint16(entry[2:])]
			count, values := int(binary.LittleEndian.Uint32(entry[4:])), entry[8:]
			if count*size > 4 {
				values = data[binary.LittleEndian.Uint32(values):]
			}
			for i := range count {
				if size == 2 {
					v = append(v, int(binary.LittleEndian.Uint16(values[2*i:])))
				} else {
					v = append(v, int(binary.LittleEndian.Uint32(values[4*i:])))
				}
			}
		}
		return v
	}
	var bits []byte
	lengths := longs(tagStripByteCounts)
	for i, offset := range longs(tagStripOffsets) {
		bits = append(bits, data[offset:offset+lengths[i]]...)
	}
	stride := (width + 7) / 8
	return func(x, y int) bool { return bits[y*stride+x/8]>>(7-x%8)&1 != 0 }
}

// readPBM reads a raw bitmap.
func readPBM(t *testing.T, name string) (width, height int, at func(x, y int) bool) {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	r := bufio.NewReader(bytes.NewReader(data))
	var lines []string
	for len(lines) < 2 {
		line, err := r.ReadString('\n')
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(line, "#") {
			lines = append(lines, line)
		}
	}
	if _, err := fmt.Sscan(lines[1], &width, &height); err != nil || lines[0] != "P4\n" {
		t.Fatalf("%s is no raw bitmap: %v", name, err)
	}
	bits, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	stride := (width + 7) / 8
	return width, height, func(x, y int) bool { return bits[y*stride+x/8]>>(7-x%8)&1 != 0 }
}

func TestPDFShowsTheFilmsInPopplerAndGhostscript(t *testing.T) {
	dir := t.TempDir()
	l := mustLay(t, small())
	ps := plates(t, l)
	var pages []PDFPage
	for _, p := range ps {
		data, _ := mustWrite(t, l, p)
		pages = append(pages, PDFPage{TIFF: bytes.NewReader(data), InkName: p.InkName + " (żółć)"})
	}
	var first, second bytes.Buffer
	for _, w := range []*bytes.Buffer{&first, &second} {
		if err := WritePDF(w, l, pages); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("the same films gave two different PDFs")
	}
	name := filepath.Join(dir, "films.pdf")
	if err := os.WriteFile(name, first.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	checkPageSize(t, l, run(t, "pdfinfo", name), len(ps))
	run(t, "pdftoppm", "-mono", "-rx", "360", "-ry", "180", name, filepath.Join(dir, "poppler"))
	run(t, "gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=pbmraw", "-r360x180",
		"-sOutputFile="+filepath.Join(dir, "gs-%d.pbm"), name)
	for i, p := range ps {
		b := rendered(l, p)
		for _, reader := range []string{"poppler", "gs"} {
			file := filepath.Join(dir, fmt.Sprintf("%s-%d.pbm", reader, i+1))
			w, h, at := readPBM(t, file)
			if w != b.Width || h != b.Height {
				t.Fatalf("%s: page %d is %d x %d px, want %d x %d", reader, i+1, w, h, b.Width, b.Height)
			}
			sameBits(t, fmt.Sprintf("%s, page %d", reader, i+1), b, at)
		}
	}
}

// checkPageSize compares what pdfinfo says with the film at the device's resolution.
func checkPageSize(t *testing.T, l *Layout, info string, pages int) {
	t.Helper()
	if !strings.Contains(info, fmt.Sprintf("Pages:           %d\n", pages)) {
		t.Errorf("pdfinfo does not say %d pages:\n%s", pages, info)
	}
	_, rest, found := strings.Cut(info, "Page size:")
	var w, h float64
	if _, err := fmt.Sscanf(strings.TrimSpace(rest), "%f x %f", &w, &h); err != nil || !found {
		t.Fatalf("pdfinfo says no page size:\n%s", info)
	}
	wantW, wantH := float64(l.WidthPX)/360*72, float64(l.HeightPX)/180*72
	if math.Abs(w-wantW) > 0.01 || math.Abs(h-wantH) > 0.01 {
		t.Errorf("page of %g x %g pt, want %g x %g (tolerance 0.01 pt)", w, h, wantW, wantH)
	}
	if trueMM := wantW / 72 * 25.4 / l.Spec.Device.ScaleX; math.Abs(trueMM-l.WidthMM) > 1e-9 {
		t.Errorf("the stretch undone it is %g mm, the layout says %g", trueMM, l.WidthMM)
	}
}
