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

// TestHostileBitmapsReadBackThroughLibtiff wraps bitmaps in TIFFs and has them all decoded in one call.
func TestHostileBitmapsReadBackThroughLibtiff(t *testing.T) {
	dir := t.TempDir()
	r := rand.New(rand.NewPCG(8, 9))
	const count = 500
	for size := range sizes {
		checkHostile(t, dir, r, sizes[size], 9)
	}
	for range (count - 9*len(sizes)) / 40 {
		checkHostile(t, dir, r, [2]int{1 + r.IntN(300), 1 + r.IntN(40)}, 40)
	}
}

// checkHostile has tiffcp decode n bitmaps of one size, joined to one file.
func checkHostile(t *testing.T, dir string, r *rand.Rand, size [2]int, n int) {
	t.Helper()
	l := &Layout{WidthPX: size[0], HeightPX: size[1], Spec: Spec{Device: Device{XDPI: 72, YDPI: 72}}}
	var bitmaps []*raster.Bitmap
	args := []string{"-c", "none"}
	for i := range n {
		b := hostile(r, size[0], size[1])
		bitmaps = append(bitmaps, b)
		name := filepath.Join(dir, fmt.Sprintf("%d.tif", i))
		f := new(file)
		out := newTIFF(f, l, "hostile")
		if err := out.begin(); err != nil {
			t.Fatal(err)
		}
		if err := out.code(encodeAll(b)); err != nil {
			t.Fatal(err)
		}
		if err := out.end(); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, f.bytes, 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, name)
	}
	plain := filepath.Join(dir, "plain.tif")
	if out := run(t, "tiffcp", append(args, plain)...); out != "" {
		t.Fatalf("tiffcp says %s", out)
	}
	for i, b := range readPages(t, plain, size) {
		sameBits(t, fmt.Sprintf("libtiff, %v, bitmap %d", size, i), bitmaps[i], b)
	}
}

// readPages reads the pages of an uncompressed bilevel TIFF as libtiff writes it.
func readPages(t *testing.T, name string, size [2]int) []func(x, y int) bool {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var pages []func(x, y int) bool
	for at := binary.LittleEndian.Uint32(data[4:]); at != 0; {
		n := int(binary.LittleEndian.Uint16(data[at:]))
		pages = append(pages, page(data, data[at+2:], n, size[0]))
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
