package produce_test

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/film"
	"tamis/pkg/order"
	"tamis/pkg/produce"
	"tamis/pkg/raster"
	"tamis/pkg/shop"
)

// nested makes two small jobs and the input of a nest of their films on a device.
func nested(t *testing.T, s *shelf, body string, device shop.Device) produce.NestInput {
	t.Helper()
	n, err := order.ParseNest([]byte(body))
	if err != nil {
		t.Fatal(err)
	}
	if n, err = n.Complete(); err != nil {
		t.Fatal(err)
	}
	in := produce.NestInput{Nest: n, Device: device, SpoolDir: t.TempDir()}
	for i, job := range n.Jobs {
		made, err := produce.Run(t.Context(), input(t, picture(t, i == 0), `,"separation":{"max_screens":3}`), s)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range made.Films {
			if f.Format == "tiff" {
				in.Members = append(in.Members, produce.NestMember{Job: job, Film: f})
			}
		}
	}
	return in
}

// page reads a film or a sheet whole.
func page(t *testing.T, data []byte, width, height int) *raster.Bitmap {
	t.Helper()
	rows, err := film.OpenPage(bytes.NewReader(data), width, height)
	if err != nil {
		t.Fatal(err)
	}
	b := raster.NewBitmap(width, height)
	for y := range height {
		if err := rows.Next(b.Row(y)); err != nil {
			t.Fatal(err)
		}
	}
	return b
}

// TestANestHoldsEveryFilmOfItsJobsBitForBit nests two jobs on a roll, and looks every pixel of every film up where its
// placement says.
func TestANestHoldsEveryFilmOfItsJobsBitForBit(t *testing.T) {
	s := newShelf()
	in := nested(t, s, `{"jobs":["job_1","job_2"],"formats":["tiff","pdf"]}`,
		shop.Device{XDPI: 600, YDPI: 600, WidthMM: 300})
	result, err := produce.RunNest(t.Context(), in, s)
	if err != nil {
		t.Fatal(err)
	}
	n := result.Nest
	if len(n.Sheets) != 2 || len(n.Placements) != len(in.Members) || n.Filled < 0.5 || n.Filled > 1 || n.FilmAreaM2 <= 0 {
		t.Fatalf("%+v", n)
	}
	sheet := page(t, s.bytes[n.Sheets[0].SHA256], n.Sheets[0].WidthPX, n.Sheets[0].LengthPX)
	for i, p := range n.Placements {
		f := in.Members[i].Film
		checkLies(t, p, page(t, s.bytes[f.SHA256], f.WidthPX, f.HeightPX), sheet)
	}
	var m map[string]any
	if err := json.Unmarshal(s.bytes[s.files["manifest.json"].SHA256], &m); err != nil || m["nest"] == nil {
		t.Errorf("manifest: %v", err)
	}
	checkSheetsOpen(t, s, n)
	doc, err := json.Marshal(result)
	if err != nil || strings.Contains(string(doc), `"plan"`) || strings.Contains(string(doc), `"quote"`) {
		t.Errorf("a nest has no plan: %s %v", doc, err)
	}
}

func checkLies(t *testing.T, p produce.Placement, one, sheet *raster.Bitmap) {
	t.Helper()
	for y := range one.Height {
		for x := range one.Width {
			u, v := p.XPX+x, p.YPX+y
			if p.Rotated {
				u, v = p.XPX+y, p.YPX+one.Width-1-x
			}
			if one.At(x, y) != sheet.At(u, v) {
				t.Fatalf("%s plate %d: pixel %d, %d is another on the sheet", p.Job, p.Plate, x, y)
			}
		}
	}
}

// checkSheetsOpen has libtiff and poppler read what a nest made.
func checkSheetsOpen(t *testing.T, s *shelf, n *produce.Nest) {
	t.Helper()
	dir := t.TempDir()
	for _, c := range []struct{ file, sha, tool string }{
		{"nest.tif", n.Sheets[0].SHA256, "tiffinfo"}, {"nest.pdf", n.Sheets[1].SHA256, "pdfinfo"},
	} {
		name := filepath.Join(dir, c.file)
		if err := os.WriteFile(name, s.bytes[c.sha], 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(c.tool, name).CombinedOutput()
		if err != nil || bytes.Contains(bytes.ToLower(out), []byte("warning")) {
			t.Errorf("%s: %v\n%s", c.tool, err, out)
		}
	}
}

func TestFilmsOfAnotherDeviceAreNotNested(t *testing.T) {
	s := newShelf()
	in := nested(t, s, `{"jobs":["job_1"]}`, shop.Device{XDPI: 600, YDPI: 600, WidthMM: 300, ScaleX: 1.002})
	if _, err := produce.PlanNest(in); fault.Of(err).Code != "nest_device" {
		t.Errorf("another stretch: %v", err)
	}
	in.Device = shop.Device{XDPI: 1200, YDPI: 600, WidthMM: 300}
	if _, err := produce.PlanNest(in); fault.Of(err).Code != "nest_device" {
		t.Errorf("another resolution: %v", err)
	}
	in.Device = shop.Device{XDPI: 600, YDPI: 600, WidthMM: 60}
	if _, err := produce.PlanNest(in); fault.Of(err).Code != "nest_too_wide" {
		t.Errorf("a narrower device: %v", err)
	}
	in.Device = shop.Device{XDPI: 600, YDPI: 600, WidthMM: 300, MaxLengthMM: 120}
	if p, err := produce.PlanNest(in); err != nil || len(p.Doc(in.Members).Placements) != len(in.Members) {
		t.Errorf("sheets: %v", err)
	}
}
