package sheet_test

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"tamis/pkg/sheet"
)

func data(plates int) sheet.Data {
	d := sheet.Data{Paper: "a4", Shop: "The print shop", Job: "w0123456789", Order: "A-1017", GarmentHex: "#17181a",
		GarmentName: "black shirt", Placement: "front", Method: "simulated process", Quantity: 72, WidthMM: 300, HeightMM: 360,
		EffectivePPI: 254, MatchMean: 2.1, MatchP95: 5, Device: "Inkjet film", Press: "Automatic", FilmWidthMM: 340,
		FilmHeightMM: 400, StationsNeeded: plates + 1, Stations: 10, BlackSteps: 23}
	for i := range plates {
		d.Plates = append(d.Plates, sheet.Plate{N: i + 1, Ink: fmt.Sprintf("Ink %d", i+1), Hex: "#c8322b", Role: "color",
			Mesh: "90/cm · 229 tpi", Screen: "55.0 lpi, 22.5°, round", Squeegee: "75 A, 1×, 1.5 mm",
			File: fmt.Sprintf("%02d-ink.tif", i+1), Flash: i == 0, GramsPrint: 1.23, ExposureS: 76, MixGrams: 130,
			Thumb: image.NewGray(image.Rect(0, 0, 60, 72))})
	}
	return d
}

func Example() {
	var pdf bytes.Buffer
	err := sheet.Write(&pdf, sheet.Data{Paper: "letter", Order: "A-1017", GarmentHex: "#ffffff"})
	fmt.Println(strings.HasPrefix(pdf.String(), "%PDF"), err)
	// Output: true <nil>
}

func write(t *testing.T, d sheet.Data) string {
	t.Helper()
	var pdf bytes.Buffer
	if err := sheet.Write(&pdf, d); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "setup.pdf")
	if err := os.WriteFile(path, pdf.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

func TestTheSheetIsOnePageOfItsPaper(t *testing.T) {
	for paper, size := range map[string]string{"a4": "595.28 x 841.89", "letter": "612 x 792"} {
		for _, plates := range []int{1, 6, 12} {
			d := data(plates)
			d.Paper = paper
			info := tool(t, "pdfinfo", write(t, d))
			if !strings.Contains(info, "Pages:           1\n") || !strings.Contains(info, size) {
				t.Errorf("%s, %d plates:\n%s", paper, plates, info)
			}
		}
	}
}

// TestEverythingStaysOnThePage asks poppler for the box of every word: none may leave the margins.
func TestEverythingStaysOnThePage(t *testing.T) {
	d := data(12)
	d.Paper = "letter"
	long := strings.Repeat("An order reference of a length that nobody would give ", 6)
	d.Order, d.GarmentName, d.Placement, d.Device, d.Shop = long, long, long, long, long
	d.Part, d.Runs = long, []string{long, long}
	for i := range d.Plates {
		d.Plates[i].Ink, d.Plates[i].File, d.Plates[i].Role = long, long, long
	}
	for range 20 {
		d.Warnings = append(d.Warnings, long)
	}
	path := write(t, d)
	boxes := tool(t, "pdftotext", "-bbox", path, "-")
	words := 0
	for _, line := range strings.Split(boxes, "\n") {
		var x0, y0, x1, y1 float64
		if n, _ := fmt.Sscanf(strings.TrimSpace(line), `<word xMin="%f" yMin="%f" xMax="%f" yMax="%f">`, &x0, &y0, &x1, &y1); n == 4 {
			words++
			if x0 < 28 || x1 > 612-28 || y0 < 20 || y1 > 792-20 {
				t.Errorf("a word leaves the page: %s", line)
			}
		}
	}
	if words < 200 {
		t.Errorf("only %d words read back", words)
	}
}

func TestTheSheetSaysWhatThePrinterNeeds(t *testing.T) {
	d := data(3)
	d.Warnings = []string{"tone curves are assumed"}
	d.GarmentName = "čierne tričko"
	text := tool(t, "pdftotext", "-layout", write(t, d), "-")
	for _, want := range []string{"A-1017", "72 pieces", "3 screens", "300.0 × 360.0 mm", "90/cm", "55.0 lpi, 22.5°", "Ink 3",
		"130 g", "03-ink.tif", "tone curves are assumed", "UV lamps", "safety data sheets", "čierne tričko"} {
		if !strings.Contains(strings.ReplaceAll(text, "−", "-"), want) {
			t.Errorf("%q is not on the sheet", want)
		}
	}
}

// TestAnyTextPrintsOrShowsABox: names come from customers, in any script.
func TestAnyTextPrintsOrShowsABox(t *testing.T) {
	d := data(1)
	d.Order, d.GarmentName, d.Placement = "🎽 42", "חולצה 👕", "𝒻ront"
	d.Plates[0].Ink, d.Warnings = "赤 e\u0301", []string{"🎽 warning"}
	text := tool(t, "pdftotext", "-layout", write(t, d), "-")
	if !strings.Contains(text, "□ 42") || !strings.Contains(text, "□ront") {
		t.Errorf("what the typeface lacks is not shown as a box:\n%s", text)
	}
}

func TestOneScreenIsOne(t *testing.T) {
	d := data(1)
	d.Quantity = 1
	text := tool(t, "pdftotext", "-layout", write(t, d), "-")
	if !strings.Contains(text, "1 piece · 1 screen\n") {
		t.Errorf("%s", text)
	}
}

func TestTheSameFactsAreTheSameBytes(t *testing.T) {
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		d := data(5)
		for i, p := range d.Plates {
			p.Thumb.Pix[i] = 255 // pictures that differ
		}
		d.Proof = proofPNG(t)
		if err := sheet.Write(w, d); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two sheets of the same facts differ")
	}
}

func TestAProofPackedWithLossIsShown(t *testing.T) {
	d := data(3)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewNRGBA(image.Rect(0, 0, 300, 360)), nil); err != nil {
		t.Fatal(err)
	}
	d.Proof = b.Bytes()
	if list := tool(t, "pdfimages", "-list", write(t, d)); !strings.Contains(list, "jpeg") {
		t.Errorf("%s", list)
	}
}

func proofPNG(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewNRGBA(image.Rect(0, 0, 300, 360))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestWarningsWithoutRoomStandOverleaf: all are on the sheet, whatever is above them; what even a second page does not
// hold is counted.
func TestWarningsWithoutRoomStandOverleaf(t *testing.T) {
	for _, r := range []struct{ plates, warnings, pages int }{{1, 6, 1}, {12, 6, 2}, {12, 50, 2}, {12, 900, 2}} {
		d := data(r.plates)
		d.Paper = "letter"
		for i := range r.warnings {
			d.Warnings = append(d.Warnings, fmt.Sprintf("warning %d: strokes are thinner than the mesh of this plate may hold",
				i+1))
		}
		path := write(t, d)
		text := tool(t, "pdftotext", "-layout", path, "-")
		shown := strings.Count(text, ": strokes are thinner")
		wantPages := fmt.Sprintf("Pages:           %d\n", r.pages)
		if !strings.Contains(tool(t, "pdfinfo", path), wantPages) || strings.Contains(text, "overleaf") != (r.pages == 2) {
			t.Errorf("%d plates, %d warnings: not %d pages", r.plates, r.warnings, r.pages)
		}
		counted := strings.Contains(text, fmt.Sprintf("and %d more warnings in the plan", r.warnings-shown))
		if counted != (shown < r.warnings) {
			t.Errorf("%d plates: %d warnings of %d are shown and the rest not counted", r.plates, shown, r.warnings)
		}
		if r.warnings <= 50 && shown != r.warnings {
			t.Errorf("%d plates: %d warnings of %d are shown", r.plates, shown, r.warnings)
		}
	}
}
