package film

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/halftone"
	"tamis/pkg/raster"
)

// file is a file in memory.
type file struct {
	bytes []byte
	at    int
}

func (f *file) Write(p []byte) (int, error) {
	if grow := f.at + len(p) - len(f.bytes); grow > 0 {
		f.bytes = append(f.bytes, make([]byte, grow)...)
	}
	copy(f.bytes[f.at:], p)
	f.at += len(p)
	return len(p), nil
}

func (f *file) Seek(offset int64, whence int) (int64, error) {
	f.at = [3]int{0, f.at, len(f.bytes)}[whence] + int(offset)
	return int64(f.at), nil
}

// mustLay makes a layout or ends the test.
func mustLay(t testing.TB, s Spec) *Layout {
	t.Helper()
	l, err := NewLayout(s)
	if err != nil {
		t.Fatalf("%+v: %v", s, err)
	}
	return l
}

// mustScreen makes a screen for a page.
func mustScreen(t testing.TB, l *Layout, s halftone.Spec) *halftone.Screen {
	t.Helper()
	screen, err := halftone.New(l.ScreenSpec(s))
	if err != nil {
		t.Fatal(err)
	}
	return screen
}

// mustWrite writes a film into memory.
func mustWrite(t testing.TB, l *Layout, p Plate) ([]byte, Film) {
	t.Helper()
	f := new(file)
	film, err := l.Write(t.Context(), p, f, nil)
	if err != nil {
		t.Fatal(err)
	}
	if film.Bytes != int64(len(f.bytes)) {
		t.Fatalf("the film says %d bytes, the file has %d", film.Bytes, len(f.bytes))
	}
	return f.bytes, film
}

// rendered gives the film's bits without the encoder.
func rendered(l *Layout, p Plate) *raster.Bitmap {
	m := l.newShared(p).newMaker()
	b := raster.NewBitmap(l.WidthPX, l.HeightPX)
	for y := range b.Height {
		row, _ := m.finish(y)
		copy(b.Row(y), row)
	}
	return b
}

// small is a page of a size that tests can look at pixel by pixel.
func small() Spec {
	return Spec{PrintWidthMM: 90, PrintHeightMM: 70, MarginMM: 16, Plates: 3,
		Device: Device{XDPI: 360, YDPI: 180, WidthMM: 330, ScaleX: 1.0031, ScaleY: 0.9987}}
}

// plates are three plates of one job: two screens of different angle and a line plate.
func plates(t testing.TB, l *Layout) []Plate {
	plane := smooth(270, 210)
	first := mustScreen(t, l, halftone.Spec{Kind: halftone.AM, FreqLPI: 25, AngleDeg: 22.5})
	second := mustScreen(t, l, halftone.Spec{Kind: halftone.FM, DotUM: 150})
	return []Plate{
		{N: 1, Of: 3, InkName: "White", Role: "underbase", Order: "A-17", Mesh: "54/cm",
			Plane: plane, Screen: first, LPI: 25, AngleDeg: 22.5},
		{N: 2, Of: 3, InkName: "A very long name of an ink that nobody can set in one line", Order: "A-17",
			Mesh: "90/cm", Plane: plane, Screen: second},
		{N: 3, Of: 3, InkName: "Black", Order: "A-17", Plane: plane},
	}
}

func TestPrintBoxHoldsThePrintToThePixel(t *testing.T) {
	l := mustLay(t, small())
	p := Plate{N: 1, Of: 1, InkName: "Edge", Plane: raster.NewPlane(90, 70)} // a source pixel a millimetre
	for y := range 70 {
		for x := range 30 {
			p.Plane.Pix[y*90+x] = 255 // ink up to 30 mm
		}
	}
	b := rendered(l, p)
	box := l.PrintBoxPX
	if want := 90 / 25.4 * 360 * 1.0031; math.Abs(float64(box[2]-box[0])-want) > 0.5 {
		t.Errorf("the box is %d px wide, want %.2f (tolerance 0.5)", box[2]-box[0], want)
	}
	if want := 70 / 25.4 * 180 * 0.9987; math.Abs(float64(box[3]-box[1])-want) > 0.5 {
		t.Errorf("the box is %d px high, want %.2f (tolerance 0.5)", box[3]-box[1], want)
	}
	edge := raster.CountBits(b.Row((box[1]+box[3])/2), box[0], box[2])
	if want := 30 / 25.4 * 360 * 1.0031; math.Abs(float64(edge)-want) > 1 {
		t.Errorf("the edge at 30 mm stands at %d px, want %.2f (tolerance 1)", edge, want)
	}
	if !b.At(box[0], box[1]) || b.At(box[0]-1, box[1]) || !b.At(box[0], box[3]-1) || b.At(box[0], box[3]) {
		t.Error("the box's corners are not the print's")
	}
}

func TestIndexArtIsSquareDots(t *testing.T) {
	l := mustLay(t, Spec{PrintWidthMM: 25.4, PrintHeightMM: 25.4, Plates: 1,
		Device: Device{XDPI: 800, YDPI: 400, WidthMM: 100}})
	p := Plate{N: 1, Of: 1, InkName: "Checks", Nearest: true, Plane: raster.NewPlane(100, 100)}
	for i := range p.Plane.Pix {
		p.Plane.Pix[i] = uint8(255 * ((i%100 + i/100) & 1))
	}
	b := rendered(l, p)
	for y := range 400 {
		for x := range 800 {
			if b.At(x, y) != ((x/8+y/4)&1 == 1) {
				t.Fatalf("pixel %d, %d: dots are not squares of 8 x 4 device px", x, y)
			}
		}
	}
}

func TestStripIsTheSameHoweverManyCoresAndBands(t *testing.T) {
	l := mustLay(t, small())
	for _, p := range plates(t, l) {
		want := encodeAll(rendered(l, p))
		for _, cores := range []int{1, 2, 5} {
			before := runtime.GOMAXPROCS(cores)
			got, film := mustWrite(t, l, p)
			runtime.GOMAXPROCS(before)
			strip, err := readStrip(bytes.NewReader(got))
			if err != nil {
				t.Fatal(err)
			}
			code, err := io.ReadAll(strip)
			if err != nil || !bytes.Equal(code, want) {
				t.Errorf("plate %d on %d cores: the strip differs from the one coded in one piece (%v)", p.N, cores, err)
			}
			b, ink := rendered(l, p), 0
			for y := l.box[1]; y < l.box[3]; y++ {
				ink += raster.CountBits(b.Row(y), l.box[0], l.box[2])
			}
			area := float64(ink) / float64((l.box[2]-l.box[0])*(l.box[3]-l.box[1]))
			if math.Abs(film.InkArea-area) > 1e-12 {
				t.Errorf("plate %d says %g ink, its bits %g", p.N, film.InkArea, area)
			}
		}
	}
}

func TestCancelStopsTheFilm(t *testing.T) {
	l := mustLay(t, small())
	ctx, cancel := context.WithCancel(t.Context())
	_, err := l.Write(ctx, plates(t, l)[0], new(file), func(done, rows int) { cancel() })
	if !fault.Is(err, fault.Canceled) {
		t.Errorf("%v, want a Canceled fault", err)
	}
}

// full is a disk that has no room after so many writes.
type full struct {
	file
	left int
}

var errFull = errors.New("no room")

func (f *full) Write(p []byte) (int, error) {
	if f.left--; f.left < 0 {
		return 0, errFull
	}
	return f.file.Write(p)
}

func TestFullDiskEndsTheFilmWithItsError(t *testing.T) {
	l := mustLay(t, small())
	for left := range 4 {
		if _, err := l.Write(t.Context(), plates(t, l)[0], &full{left: left}, nil); !errors.Is(err, errFull) {
			t.Errorf("after %d writes: %v, want %v", left, err, errFull)
		}
	}
}

func TestProgressCountsEveryRowOnce(t *testing.T) {
	l := mustLay(t, small())
	var seen []int
	if _, err := l.Write(t.Context(), plates(t, l)[0], new(file), func(done, rows int) {
		if rows != l.HeightPX {
			t.Errorf("of %d rows, want %d", rows, l.HeightPX)
		}
		seen = append(seen, done)
	}); err != nil {
		t.Fatal(err)
	}
	if !slices.IsSorted(seen) || seen[len(seen)-1] != l.HeightPX {
		t.Errorf("progress %v does not rise to %d", seen, l.HeightPX)
	}
}

func TestMemoryDoesNotGrowWithTheFilm(t *testing.T) {
	allocated := func(heightMM float64) uint64 {
		s := small()
		s.PrintHeightMM = heightMM
		l := mustLay(t, s)
		p := plates(t, l)[0]
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if _, err := l.Write(t.Context(), p, new(sink), nil); err != nil {
			t.Fatal(err)
		}
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	short, long := allocated(400), allocated(4000)
	t.Logf("%d KB for 400 mm, %d KB for 4000 mm", short>>10, long>>10)
	if long > short+1<<20 { // 25,500 rows more: their places on the plane are about 15 bytes each
		t.Errorf("%d bytes for 400 mm, %d for 4000 mm (tolerance 1 MiB)", short, long)
	}
}

func TestArtworkFinerThanTheDeviceIsAveraged(t *testing.T) {
	l := mustLay(t, Spec{PrintWidthMM: 25.4, PrintHeightMM: 25.4, Plates: 1,
		Device: Device{XDPI: 300, YDPI: 300, WidthMM: 100}})
	p := Plate{N: 1, Of: 1, InkName: "Fine", Plane: raster.NewPlane(1500, 1500),
		Screen: mustScreen(t, l, halftone.Spec{Kind: halftone.AM, FreqLPI: 30, AngleDeg: 22.5})}
	for i := range p.Plane.Pix {
		p.Plane.Pix[i] = uint8(255 * (i % 5 / 4)) // one column in five
	}
	if _, film := mustWrite(t, l, p); math.Abs(film.InkArea-0.2) > 0.005 {
		t.Errorf("%.4f of the box is ink, want 0.2 (tolerance 0.005)", film.InkArea)
	}
}

func TestAnyPageOfAnyPlaneIsWrittenAndReadsBack(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range 40 {
		s := Spec{PrintWidthMM: 1 + 60*r.Float64(), PrintHeightMM: 1 + 60*r.Float64(), MarginMM: 20 * r.Float64(), Plates: 1,
			Negative: r.IntN(2) == 1, Reading: [2]Reading{RightInkUp, WrongInkUp}[r.IntN(2)],
			Device: Device{XDPI: 72 + 400*r.Float64(), YDPI: 72 + 400*r.Float64(), WidthMM: 70}}
		l := mustLay(t, s)
		p := Plate{N: 1, Of: 1, InkName: "Any", Plane: raster.NewPlane(1+r.IntN(300), 1+r.IntN(300))}
		for i := range p.Plane.Pix {
			p.Plane.Pix[i] = uint8(r.IntN(256))
		}
		switch r.IntN(4) {
		case 0:
			p.Nearest = true
		case 1:
			p.Screen = mustScreen(t, l, halftone.Spec{Kind: halftone.AM, FreqLPI: 15, AngleDeg: 90 * r.Float64()})
		case 2:
			p.Screen = mustScreen(t, l, halftone.Spec{Kind: halftone.FM, DotUM: 200})
		}
		data, _ := mustWrite(t, l, p)
		strip, err := readStrip(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		code, err := io.ReadAll(strip)
		if err != nil {
			t.Fatal(err)
		}
		readBack(t, rendered(l, p), code)
	}
}
