package film

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	_ "image/png"
	"os"
	"path/filepath"
	"testing"

	"tamis/pkg/raster"
)

// overlayOf writes an overlay of two line plates: red in the print's left half, blue in its upper half.
func overlayOf(t *testing.T, s Spec) []byte {
	t.Helper()
	l := mustLay(t, s)
	var films []PDFPage
	for i, hex := range []string{"#ff0000", "#0000ff"} {
		p := Plate{N: i + 1, Of: s.Plates, InkName: fmt.Sprintf("Ink-%d", i+1), Plane: raster.NewPlane(100, 100)}
		for y := range 100 {
			for x := range 100 {
				if i == 0 && x < 50 || i == 1 && y < 50 {
					p.Plane.Pix[y*100+x] = 255
				}
			}
		}
		data, _ := mustWrite(t, l, p)
		films = append(films, PDFPage{TIFF: bytes.NewReader(data), InkName: p.InkName, Hex: hex})
	}
	var pdf, again bytes.Buffer
	if err := errors.Join(WriteOverlay(&pdf, l, films), WriteOverlay(&again, l, films)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(pdf.Bytes(), again.Bytes()) {
		t.Error("the same films give other bytes")
	}
	return pdf.Bytes()
}

// TestOverlayShowsEveryInkUprightInPopplerAndGhostscript has both draw overlays of films that are mirrored, negative,
// turned, and asks Ghostscript for the separations.
func TestOverlayShowsEveryInkUprightInPopplerAndGhostscript(t *testing.T) {
	dir := t.TempDir()
	for name, change := range map[string]func(*Spec){
		"plain":             func(*Spec) {},
		"mirrored negative": func(s *Spec) { s.Reading, s.Negative = WrongInkUp, true },
		"turned":            func(s *Spec) { s.Device.WidthMM = 85 },
	} {
		s := small()
		change(&s)
		in := filepath.Join(dir, "overlay.pdf")
		if err := os.WriteFile(in, overlayOf(t, s), 0o600); err != nil {
			t.Fatal(err)
		}
		run(t, "pdftoppm", "-r", "72", "-png", "-singlefile", in, filepath.Join(dir, "poppler"))
		run(t, "gs", "-q", "-dNOPAUSE", "-dBATCH", "-sDEVICE=png16m", "-r72", "-o", filepath.Join(dir, "gs.png"), in)
		for _, who := range []string{"poppler", "gs"} {
			checkInks(t, who+", "+name, decodePNG(t, filepath.Join(dir, who+".png")))
		}
		run(t, "gs", "-q", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", "-r72", "-o", filepath.Join(dir, "s%d.tif"), in)
		for _, ink := range []string{"Ink-1", "Ink-2"} {
			if _, err := os.Stat(filepath.Join(dir, "s1("+ink+").tif")); err != nil {
				t.Errorf("%s: no separation %s: %v", name, ink, err)
			}
		}
	}
}

// checkInks looks at the middle of each quarter of the print, which lies in the page's middle.
func checkInks(t *testing.T, who string, img image.Image) {
	t.Helper()
	b := img.Bounds()
	if b.Dx() <= b.Dy() {
		t.Errorf("%s: a page of %v; the print is wider than high", who, b.Size())
	}
	at := func(x, y float64) (red, blue bool) {
		r, g, b, _ := img.At(b.Min.X+int(x*float64(b.Dx())), b.Min.Y+int(y*float64(b.Dy()))).RGBA()
		return r > 0xc000 && g < 0x4000 && b < 0x4000, b > 0xc000 && g < 0x4000 && r < 0x4000
	}
	if _, blue := at(0.65, 0.35); !blue {
		t.Errorf("%s: the upper right is not blue", who)
	}
	if red, _ := at(0.35, 0.65); !red {
		t.Errorf("%s: the lower left is not red", who)
	}
	if red, blue := at(0.65, 0.65); red || blue {
		t.Errorf("%s: the lower right is not bare", who)
	}
}

// decodePNG reads a picture.
func decodePNG(t *testing.T, name string) image.Image {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}
