package film

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/halftone"
	"tamis/pkg/raster"
)

// wide is a print that its device can only make in parts.
func wide(device Device) Spec {
	return Spec{PrintWidthMM: 110, PrintHeightMM: 70, MarginMM: 12, Plates: 3, Device: device, Split: true, OverlapMM: 8}
}

// TestPartsJoinedAreTheUnsplitFilmBitForBit writes the parts of prints of every kind, reads them back and lays them at
// their places: where they overlap they agree, and together they are the print of a film wide enough for all of it.
func TestPartsJoinedAreTheUnsplitFilmBitForBit(t *testing.T) {
	for _, c := range []struct {
		name   string
		device Device
		change func(*Spec)
		parts  int
	}{
		{"two across", Device{XDPI: 360, YDPI: 180, WidthMM: 90, MaxLengthMM: 94, ScaleX: 1.0031}, nil, 2},
		{"turned, three along", Device{XDPI: 200, YDPI: 300, WidthMM: 92, MaxLengthMM: 76}, nil, 3},
		{"upright, two by two", Device{XDPI: 254, YDPI: 254, WidthMM: 88, MaxLengthMM: 68}, nil, 4},
		{"mirrored negative", Device{XDPI: 300, YDPI: 180, WidthMM: 76, MaxLengthMM: 95}, func(s *Spec) {
			s.Reading, s.Negative = WrongInkUp, true
		}, 3},
		{"no overlap", Device{XDPI: 300, YDPI: 180, WidthMM: 90, MaxLengthMM: 95},
			func(s *Spec) { s.OverlapMM = 0 }, 2},
	} {
		s := wide(c.device)
		if c.change != nil {
			c.change(&s)
		}
		split := mustLay(t, s)
		s.Device.WidthMM, s.Device.MaxLengthMM = 500, 0
		if split.Rotated {
			s.PrintWidthMM, s.PrintHeightMM = s.PrintHeightMM, s.PrintWidthMM
		}
		whole := mustLay(t, s)
		if split.Rotated != strings.HasPrefix(c.name, "turned") {
			t.Errorf("%s: turned %v", c.name, split.Rotated)
		}
		if len(split.Pages()) != c.parts || whole.Parts != 0 {
			t.Fatalf("%s: %d parts, want %d; the wide film says %d", c.name, len(split.Pages()), c.parts, whole.Parts)
		}
		for i, p := range plates(t, split) {
			if split.Rotated { // the same print, upright on the wide film
				q := p
				q.Plane = raster.TurnLeft(p.Plane)
				checkJoined(t, fmt.Sprint(c.name, " plate ", i), split, whole, p, q)
				continue
			}
			checkJoined(t, fmt.Sprint(c.name, " plate ", i), split, whole, p, p)
		}
	}
}

// checkJoined reads every part of a film back and compares it with its piece of the whole.
func checkJoined(t *testing.T, name string, split, whole *Layout, part, all Plate) {
	t.Helper()
	want := printBack(t, whole, all)
	seen := raster.NewBitmap(want.Width, want.Height)
	for _, page := range split.Pages() {
		d := split.Spec.Device
		if page.WidthMM*d.ScaleX > d.WidthMM+0.01 || page.HeightMM*d.ScaleY > d.MaxLengthMM+0.01 {
			t.Errorf("%s: a part of %.2f x %.2f mm on a device of %g x %g", name, page.WidthMM, page.HeightMM, d.WidthMM,
				d.MaxLengthMM)
		}
		got, at := printBack(t, page, part), page.PartPX
		if page.Mirrored() { // printBack undoes the mirror
			at[0], at[2] = want.Width-at[2], want.Width-at[0]
		}
		if got.Width != at[2]-at[0] || got.Height != at[3]-at[1] {
			t.Fatalf("%s: part of %d x %d px says it shows %v", name, got.Width, got.Height, at)
		}
		for y := range got.Height {
			for x := range got.Width {
				if got.At(x, y) != want.At(at[0]+x, at[1]+y) {
					t.Fatalf("%s: part %d differs at %d, %d of %d x %d", name, page.Part, x, y, got.Width, got.Height)
				}
				seen.Set(at[0]+x, at[1]+y, true)
			}
		}
	}
	for y := range seen.Height {
		if n := raster.CountBits(seen.Row(y), 0, seen.Width); n != seen.Width {
			t.Fatalf("%s: %d of %d pixels of row %d are on no film", name, seen.Width-n, seen.Width, y)
		}
	}
}

// printBack writes a film and reads its print.
func printBack(t *testing.T, l *Layout, p Plate) *raster.Bitmap {
	t.Helper()
	data, _ := mustWrite(t, l, p)
	rows, err := l.OpenRows(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	b := raster.NewBitmap(rows.Width, rows.Height)
	for y := range b.Height {
		if err := rows.Next(b.Row(y)); err != nil {
			t.Fatal(err)
		}
	}
	if err := rows.Next(make([]uint64, (rows.Width+63)/64)); err != io.EOF {
		t.Fatalf("after the last row: %v", err)
	}
	return b
}

func TestOverlapMarksOfNeighboursLieOnOneAnother(t *testing.T) {
	for _, dpi := range []float64{180, 300, 360, 719.3, 1440} {
		l := mustLay(t, wide(Device{XDPI: dpi, YDPI: dpi, WidthMM: 90, MaxLengthMM: 95, ScaleX: 1.0017}))
		pages := l.Pages()
		if len(pages) != 2 {
			t.Fatalf("%d parts, want 2", len(pages))
		}
		p := plates(t, l)[2]
		left, right := rendered(pages[0], p), rendered(pages[1], p)
		a, b, reach := pages[0].joins(0)[0], pages[1].joins(0)[0], int(4*l.perMM[0])
		marks := 0
		for y := range pages[0].box[1] {
			for x := -reach; x <= reach; x++ {
				if left.At(a+x, y) != right.At(b+x, y) {
					t.Fatalf("%g dpi: the join's marks differ %d px from it in row %d", dpi, x, y)
				}
				if left.At(a+x, y) {
					marks++
				}
			}
		}
		if marks < 20 {
			t.Errorf("%g dpi: no mark at the join", dpi)
		}
		data, film := mustWrite(t, pages[1], p)
		if !strings.Contains(film.Legend, "part 2 of 2") || !bytes.Contains(data, []byte("part 2 of 2")) {
			t.Errorf("the legend %q does not say which part it is", film.Legend)
		}
	}
}

func TestSplitIsRefusedUnlessAskedForOrWhereItCannotBe(t *testing.T) {
	s := wide(Device{XDPI: 300, YDPI: 300, WidthMM: 60})
	s.Split = false
	_, err := NewLayout(s)
	if f := fault.Of(err); f.Field != "/print/width_mm" || !strings.Contains(f.Msg, "film.split") {
		t.Errorf("%v: want a fault at /print/width_mm that names film.split", err)
	}
	s.Split, s.Device.WidthMM = true, 25
	_, err = NewLayout(s)
	if f := fault.Of(err); f.Kind != fault.Invalid || f.Field != "/film/split" {
		t.Errorf("%v: want an Invalid fault at /film/split", err)
	}
	s.Device.WidthMM = 330
	if l := mustLay(t, s); len(l.Pages()) != 1 || l.Parts != 0 || l.Pages()[0] != l {
		t.Errorf("a print that fits is in %d parts", l.Parts)
	}
}

func TestPartsCarryTheMarksOfAWholeFilm(t *testing.T) {
	for _, width := range []float64{110, 180, 260, 400} {
		s := wide(Device{XDPI: 360, YDPI: 360, WidthMM: 130, MaxLengthMM: 150})
		s.PrintWidthMM, s.PrintHeightMM, s.MarginMM = width, 90, 14
		for _, page := range mustLay(t, s).Pages() {
			if missing := page.Missing(); len(missing) > 0 {
				t.Errorf("%g mm wide, %s: no %v", width, page.partName(), missing)
			}
		}
	}
}

func TestScreensOfPartsStandAsOnTheWhole(t *testing.T) {
	l := mustLay(t, wide(Device{XDPI: 300, YDPI: 300, WidthMM: 90, MaxLengthMM: 95}))
	for _, page := range l.Pages() {
		if page.ScreenSpec(halftone.Spec{AngleDeg: 15}) != l.ScreenSpec(halftone.Spec{AngleDeg: 15}) {
			t.Error("a part wants another screen")
		}
	}
	if got, want := l.AreaMM2(), 2*l.Pages()[0].WidthMM*l.Pages()[0].HeightMM; got < 0.99*want || got > 1.01*want {
		t.Errorf("%g mm2 of film, want about %g", got, want)
	}
}
