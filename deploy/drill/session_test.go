package drill_test

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/image/ccitt"
)

func countLines(data []byte, line string) int {
	n := 0
	for _, l := range bytes.Split(data, []byte("\n")) {
		if string(l) == line {
			n++
		}
	}
	return n
}

// orders are what the session asks for: every method, kind of screen, device shape and side of the demo shop.
var orders = []struct{ art, rest string }{
	{"orchard-fair.png", `"print":{"width_mm":280},"garment":{"color":"#20304a","unit_cost":"3.10"},"quantity":72`},
	{"orchard-fair.png", `"print":{"width_mm":280},"garment":{"color":"#ffffff","unit_cost":"2.10"},"quantity":24`},
	{"orchard-fair.png", `"print":{"height_mm":90},"garment":{"color":"#8a1f2b","unit_cost":"3"},"quantity":500,"lane":"bulk"`},
	{"orchard-fair.png", `"print":{"width_mm":200},"garment":{"color":"#17181a","unit_cost":"3"},"quantity":12,"separation":{"method":"simulated_process","max_screens":5}`},
	{"orchard-fair.png", `"print":{"width_mm":120},"garment":{"color":"#f2ead8","unit_cost":"1"},"quantity":60,"film":{"device":"laser-1200"}`},
	{"lantern-night.png", `"print":{"width_mm":300},"garment":{"color":"#17181a","unit_cost":"3.40"},"quantity":120`},
	{"lantern-night.png", `"print":{"width_mm":150},"garment":{"color":"#ffffff","unit_cost":"3.40"},"quantity":120,"separation":{"method":"process"}`},
	{"lantern-night.png", `"print":{"width_mm":200},"garment":{"color":"#17181a","unit_cost":"3.40"},"quantity":120,"separation":{"method":"index","max_screens":7}`},
	{"lantern-night.png", `"print":{"width_mm":150},"garment":{"color":"#17181a","unit_cost":"3"},"quantity":9,"halftone":{"kind":"fm","dot_um":160}`},
	{"lantern-night.png", `"print":{"width_mm":150},"garment":{"color":"#17181a","unit_cost":"3"},"quantity":9,"halftone":{"kind":"hybrid","lpi":45,"dot_um":150}`},
	{"lantern-night.png", `"print":{"width_mm":180},"garment":{"color":"#17181a","unit_cost":"3"},"quantity":9,"halftone":{"lpi":45,"angle_deg":25,"dot":"ellipse"},
		"film":{"device":{"x_dpi":1440,"y_dpi":720,"width_mm":330,"scale_x":1.0031,"scale_y":0.9987,"dmax":3.4}}`},
	{"bee-stencil.png", `"print":{"width_mm":180},"garment":{"color":"#e9dfc8","unit_cost":"1.20"},"quantity":150`},
	{"bee-stencil.png", `"print":{"width_mm":60},"garment":{"color":"#ffffff","unit_cost":"1.20"},"quantity":150,"lane":"rush","film":{"formats":["tiff"],"polarity":"negative"}`},
	{"bee-stencil.png", `"print":{"width_mm":250},"garment":{"color":"#ffffff","unit_cost":"1.20"},"quantity":150,"film":{"reading":"wrong_ink_up","margin_mm":8}`},
	{"bee-stencil.png", `"print":{"width_mm":100},"garment":{"color":"#d8c15a","unit_cost":"1"},"quantity":1,"separation":{"inks":["navy"]},"film":{"formats":["pdf"]}`},
}

// TestAStorefrontsSession runs the orders against an api with two workers. Pictures of a folder named by
// TAMIS_TEST_PICTURES are ordered as well, each as it comes.
func TestAStorefrontsSession(t *testing.T) {
	s := real(t)
	s.worker()
	s.worker()
	var ids []string
	for i, o := range orders {
		if testing.Short() && i%5 != 0 {
			continue
		}
		ids = append(ids, s.order(s.demo(o.art), o.rest+fmt.Sprintf(`,"order_ref":"S-%d"`, i)).ID)
	}
	for i, path := range morePictures(t) {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		garment := []string{"#17181a", "#ffffff", "#7a2230"}[i%3]
		ids = append(ids, s.order(s.upload(data), fmt.Sprintf(
			`"print":{"width_mm":200},"garment":{"color":%q,"unit_cost":"3"},"quantity":30,"order_ref":"P-%d"`, garment, i)).ID)
	}
	for _, id := range ids {
		j := s.finished(id)
		t.Logf("%s: %s, %d screens, attempts %d", id, j.Result.Plan.Method, j.Result.Plan.Screens, j.Attempts)
		s.checkFilms(j)
	}
	s.sameOrderAgain(ids[0])
	s.presigned(ids[0])
}

func morePictures(t *testing.T) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(os.Getenv("TAMIS_TEST_PICTURES"), "*.*"))
	if err != nil || os.Getenv("TAMIS_TEST_PICTURES") == "" {
		return nil
	}
	return paths
}

// sameOrderAgain sends the first order once more: it is done at once, from the same films.
func (s *site) sameOrderAgain(first string) {
	s.t.Helper()
	again := s.order(s.demo(orders[0].art), orders[0].rest+`,"order_ref":"S-0"`)
	if again.State != "done" || again.Attempts != 0 {
		s.t.Errorf("the same order again is %s after %d attempts", again.State, again.Attempts)
	}
	before, _ := s.files(first)
	after, _ := s.files(again.ID)
	if fmt.Sprint(before) != fmt.Sprint(after) {
		s.t.Errorf("the same order has other films:\n%v\n%v", before, after)
	}
}

// presigned: with a bucket a file is answered by a redirect to the store, or by the address as JSON; it takes ranges.
func (s *site) presigned(id string) {
	s.t.Helper()
	path := s.base + "/v1/jobs/" + id + "/files/proof.png"
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	resp, err := client.Get(path)
	if err != nil {
		s.t.Fatal(err)
	}
	resp.Body.Close()
	var address struct{ URL string }
	s.json("GET", "/v1/jobs/"+id+"/files/proof.png?redirect=false", nil, 200, &address)
	for _, url := range []string{resp.Header.Get("Location"), address.URL} {
		req, err := http.NewRequest("GET", url, nil)
		if err != nil {
			s.t.Fatal(err)
		}
		req.Header.Set("Range", "bytes=1-3")
		part, err := client.Do(req)
		if err != nil {
			s.t.Fatal(err)
		}
		data, _ := io.ReadAll(part.Body)
		part.Body.Close()
		if resp.StatusCode != 307 || part.StatusCode != 206 || string(data) != "PNG" ||
			!strings.Contains(part.Header.Get("Content-Disposition"), "proof.png") {
			s.t.Errorf("%d, then %d %q from the store, %v", resp.StatusCode, part.StatusCode, data, part.Header)
		}
	}
}

// checkFilms decodes a job's films: equal in size, the same marks pixel for pixel, the print box where it must be.
func (s *site) checkFilms(j job) {
	s.t.Helper()
	_, contents := s.files(j.ID)
	s.checkBox(j)
	var first *bits
	n := 0
	for _, f := range j.Result.Films {
		if f.Format != "tiff" {
			continue
		}
		n++
		b := decode(s.t, contents[f.File], f)
		if first == nil {
			first = b
			continue
		}
		if b.width != first.width || b.height != first.height {
			s.t.Errorf("%s: %s is %d x %d, the first film %d x %d", j.ID, f.File, b.width, b.height, first.width, first.height)
			continue
		}
		s.sameMarks(f, first, b)
	}
	if len(j.Result.Films) == 0 || n > 0 && n != j.Result.Plan.Screens {
		s.t.Errorf("%s: %d TIFF films for %d screens", j.ID, n, j.Result.Plan.Screens)
	}
}

// checkBox: the print box is the print's size in device pixels, scale correction and all, to the pixel.
func (s *site) checkBox(j job) {
	s.t.Helper()
	scale := [2]float64{1, 1}
	if d := j.Order.Film.Device.Inline; d != nil {
		scale = [2]float64{d.ScaleX, d.ScaleY}
	} else if j.Order.Film.Device.ID == "laser-1200" {
		scale = [2]float64{1.0012, 1.0031}
	}
	size := [2]float64{j.Result.Plan.Print.WidthMM, j.Result.Plan.Print.HeightMM}
	for _, f := range j.Result.Films {
		for axis, dpi := range [2]float64{f.XDPI, f.YDPI} {
			want := size[axis] / 25.4 * dpi * scale[axis]
			if got := float64(f.PrintBox[axis+2] - f.PrintBox[axis]); math.Abs(got-want) > 0.5 && !j.Result.Plan.Film.Rotated {
				s.t.Errorf("%s: print box of %g px on axis %d, want %.2f", f.File, got, axis, want)
			}
		}
	}
}

// sameMarks compares the corners of the margin, where the register marks are, with those of the first film.
func (s *site) sameMarks(f filmEntry, a, b *bits) {
	s.t.Helper()
	side := int(math.Min(float64(f.PrintBox[0]), float64(f.PrintBox[1])))
	black := false
	for _, y0 := range []int{0, a.height - side} {
		for y := y0; y < y0+side; y++ {
			left, right := side/8, (a.width-side+7)/8
			rowA, rowB := a.rows[y*a.stride:(y+1)*a.stride], b.rows[y*b.stride:(y+1)*b.stride]
			if !bytes.Equal(rowA[:left], rowB[:left]) || !bytes.Equal(rowA[right:], rowB[right:]) {
				s.t.Errorf("%s: row %d of the margin's corners differs from the first film's", f.File, y)
				return
			}
			black = black || bytes.ContainsFunc(rowA[:left], func(r rune) bool { return r != 0 })
		}
	}
	if side > 200 && !black {
		s.t.Errorf("%s: no register mark in the corners", f.File)
	}
}

// bits is a film as a foreign decoder reads it: rows of bytes, most significant bit first, 1 is black.
type bits struct {
	width, height, stride int
	rows                  []byte
}

// decode reads a film's strip with golang.org/x/image/ccitt: the bytes between the TIFF's directory and its end.
func decode(t *testing.T, tiff []byte, f filmEntry) *bits {
	t.Helper()
	offset, count := strip(t, tiff)
	b := &bits{width: f.WidthPX, height: f.HeightPX, stride: (f.WidthPX + 7) / 8}
	r := ccitt.NewReader(bytes.NewReader(tiff[offset:offset+count]), ccitt.MSB, ccitt.Group4, f.WidthPX, f.HeightPX,
		&ccitt.Options{Invert: true})
	rows, err := io.ReadAll(r)
	if err != nil || len(rows) != b.stride*b.height {
		t.Fatalf("%s: %d of %d bytes decode: %v", f.File, len(rows), b.stride*b.height, err)
	}
	b.rows = rows
	return b
}

// strip finds the one strip of a little-endian TIFF.
func strip(t *testing.T, tiff []byte) (offset, count int) {
	t.Helper()
	le := func(at, n int) (v int) {
		for i := range n {
			v |= int(tiff[at+i]) << (8 * i)
		}
		return v
	}
	at := le(4, 4)
	for i := range le(at, 2) {
		entry := at + 2 + 12*i
		switch le(entry, 2) {
		case 273:
			offset = le(entry+8, 4)
		case 279:
			count = le(entry+8, 4)
		}
	}
	if offset == 0 || count == 0 || offset+count > len(tiff) {
		t.Fatalf("no strip: offset %d, count %d of %d", offset, count, len(tiff))
	}
	return offset, count
}
