package sheet_test

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"os"
	"strings"
	"testing"

	"rsc.io/qr"

	"tamis/pkg/sheet"
)

// rendered is the sheet as poppler draws it, with so many pixels a millimetre.
func rendered(t *testing.T, d sheet.Data, perMM float64) image.Image {
	t.Helper()
	path := write(t, d)
	tool(t, "pdftoppm", "-r", fmt.Sprint(25.4*perMM), "-png", "-singlefile", path, path)
	f, err := os.Open(path + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func dark(img image.Image, x, y int) bool {
	r, g, b, _ := img.At(x, y).RGBA()
	return r+g+b < 3*0x8000
}

// TestTheCodeStandsModuleForModuleWithItsQuietZone looks at the picture: the code ends at the right margin, 11 mm from
// either edge, and is 17 mm wide.
func TestTheCodeStandsModuleForModuleWithItsQuietZone(t *testing.T) {
	const address, sideMM, marginMM, pxMM = "/v1/jobs?order_ref=A-1017", 17.0, 11.0, 10
	d := data(3)
	d.Address = address
	d.Press = strings.Repeat("a press of a very long name ", 4) // must not run into the code
	img := rendered(t, d, pxMM)
	want, err := qr.Encode(address, qr.M)
	if err != nil {
		t.Fatal(err)
	}
	left, unit := 210-marginMM-sideMM, sideMM/float64(want.Size)
	for row := -3; row < want.Size+3; row++ {
		for col := -3; col < want.Size; col++ {
			x, y := left+(float64(col)+0.5)*unit, marginMM+(float64(row)+0.5)*unit
			if dark(img, int(x*pxMM), int(y*pxMM)) != want.Black(col, row) {
				t.Fatalf("module %d, %d is not as the code has it", col, row)
			}
		}
	}
}

func TestAnOverlongAddressHasNoCode(t *testing.T) {
	d := data(1)
	d.Address = strings.Repeat("x", 300)
	if img := rendered(t, d, 5); dark(img, 5*199-3, 5*11+3) {
		t.Error("a code too fine to be read is printed")
	}
}

// orange finds the print on the sketch: the box of its colour, in millimetres.
func orange(img image.Image) (found image.Rectangle) {
	b := img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, g, bl, _ := img.At(x, y).RGBA()
			if near(r, 214) && near(g, 120) && near(bl, 30) {
				found = found.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return found
}

func near(v, want uint32) bool { return v>>8 < want+4 && v>>8+4 > want }

// TestTheSketchShowsThePlace compares placements with one another: the wearer's left is on the right of the picture.
func TestTheSketchShowsThePlace(t *testing.T) {
	at := func(placement string, widthMM float64) image.Rectangle {
		d := data(1)
		d.Placement, d.WidthMM, d.HeightMM, d.Plates = placement, widthMM, widthMM, nil
		box := orange(rendered(t, d, 4))
		if box.Empty() {
			t.Fatalf("%s: no print on the sketch", placement)
		}
		return box
	}
	front, left, right := at("front", 90), at("Left_Chest", 90), at("right chest", 90)
	sleeve, wide := at("left sleeve", 80), at("front", 280)
	middle := func(r image.Rectangle) int { return (r.Min.X + r.Max.X) / 2 }
	if !(middle(right) < middle(front) && middle(front) < middle(left) && middle(left) < middle(sleeve)) {
		t.Errorf("right chest %v, front %v, left chest %v, sleeve %v", right, front, left, sleeve)
	}
	if d := middle(wide) - middle(front); d < -3 || d > 3 || wide.Dx() < 2*front.Dx() {
		t.Errorf("a print three times as wide: %v, %v", front, wide)
	}
}

func TestAPlaceNobodyNamedIsSaidToBeUnknown(t *testing.T) {
	d := data(2)
	for placement, want := range map[string]string{"front": "under the collar", "nape": "collar seam",
		"inside the hood": "does not know"} {
		d.Placement = placement
		if text := tool(t, "pdftotext", write(t, d), "-"); !strings.Contains(strings.Join(strings.Fields(text), " "), want) {
			t.Errorf("%s: %q is not on the sheet", placement, want)
		}
	}
}

// TestLongNamesStayInTheirBoxes sets a 90-character order on Letter with eight inks, and asks poppler where every word
// of a column ends.
func TestLongNamesStayInTheirBoxes(t *testing.T) {
	d := data(8)
	d.Paper = "letter"
	d.Order = "Orchard fair stewards, second run, ladies' cut and youth sizes, delivery to the north gate"
	d.Address = "/v1/jobs?order_ref=" + strings.ReplaceAll(d.Order, " ", "+")
	for i := range d.Plates {
		d.Plates[i].Ink = fmt.Sprintf("Inkofaveryverylongname%d", i)
		d.Plates[i].File = fmt.Sprintf("%02d-golden-yellow-two-underbase.tif", i+1)
	}
	if len(d.Order) != 90 {
		t.Fatalf("the order's name has %d characters", len(d.Order))
	}
	path := write(t, d)
	text := tool(t, "pdftotext", "-layout", path, "-")
	for _, want := range []string{"Orchard fair stewards, second run", "delivery to the north gate",
		"08-golden-yellow-two-underbase.tif"} {
		if !strings.Contains(strings.ReplaceAll(text, "−", "-"), want) {
			t.Errorf("%q is not whole on the sheet", want)
		}
	}
	const pointsPerMM, columnMM, role = 72 / 25.4, 215.9 - 22, 0.055 + 0.125
	for _, w := range words(tool(t, "pdftotext", "-bbox", path, "-")) {
		switch {
		case strings.HasPrefix(w.text, "Inkofa") && w.y0 > 500 && w.x1 > (11+columnMM*role)*pointsPerMM:
			t.Errorf("ink %+v runs into the role", w)
		case w.y0 < 75 && w.x0 < 350 && w.x1 > (11+columnMM*0.6)*pointsPerMM:
			t.Errorf("title %+v runs into the job", w)
		}
	}
}

type word struct {
	x0, y0, x1, y1 float64
	text           string
}

// words reads poppler's boxes, in points.
func words(bbox string) (out []word) {
	for _, line := range strings.Split(bbox, "\n") {
		var w word
		n, _ := fmt.Sscanf(strings.TrimSpace(line), `<word xMin="%f" yMin="%f" xMax="%f" yMax="%f">`, &w.x0, &w.y0, &w.x1, &w.y1)
		if n == 4 {
			_, rest, _ := strings.Cut(line, ">")
			w.text, _, _ = strings.Cut(rest, "<")
			out = append(out, w)
		}
	}
	return out
}

func TestThePictureOfACodeCostsLittle(t *testing.T) {
	var with, without bytes.Buffer
	d := data(2)
	if err := sheet.Write(&without, d); err != nil {
		t.Fatal(err)
	}
	d.Address = "/v1/jobs?order_ref=A-1017"
	if err := sheet.Write(&with, d); err != nil {
		t.Fatal(err)
	}
	if with.Len()-without.Len() > 8000 {
		t.Errorf("the code takes %d bytes", with.Len()-without.Len())
	}
}
