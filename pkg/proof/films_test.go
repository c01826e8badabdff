package proof

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/draw"
	"io"
	"math"
	"runtime"
	"testing"

	col "tamis/pkg/color"
	"tamis/pkg/fault"
	"tamis/pkg/film"
	"tamis/pkg/halftone"
	"tamis/pkg/raster"
	"tamis/pkg/separate"
	"tamis/pkg/tone"
)

// file is a film in memory.
type file struct {
	data []byte
	at   int
}

func (f *file) Write(p []byte) (int, error) {
	if need := f.at + len(p); need > len(f.data) {
		f.data = append(f.data, make([]byte, need-len(f.data))...)
	}
	f.at += copy(f.data[f.at:], p)
	return len(p), nil
}

func (f *file) Seek(offset int64, whence int) (int64, error) {
	from := map[int]int{io.SeekStart: 0, io.SeekCurrent: f.at, io.SeekEnd: len(f.data)}
	f.at = from[whence] + int(offset)
	return int64(f.at), nil
}

// angles keep the plates' dots from lying on one another.
var angles = []float64{22.5, 52.5, 82.5, 7.5, 37.5, 67.5}

// filmsOf writes the films of a print 100 mm wide; lpi 0 is line work. gain is what their press makes of them.
func filmsOf(t testing.TB, r *separate.Recipe, planes []*raster.Plane, lpi float64, gain tone.Curve,
	change func(*film.Spec)) (*film.Layout, []Film) {
	t.Helper()
	high := 100 * float64(planes[0].Height) / float64(planes[0].Width)
	spec := film.Spec{PrintWidthMM: 100, PrintHeightMM: high, MarginMM: 12, Plates: len(planes),
		Device: film.Device{XDPI: 720, YDPI: 720, WidthMM: 330}}
	if change != nil {
		change(&spec)
	}
	l, err := film.NewLayout(spec)
	if err != nil {
		t.Fatal(err)
	}
	var films []Film
	for i, p := range planes {
		plate := film.Plate{N: i + 1, Of: len(planes), InkName: "ink", Plane: p, Nearest: r.Plates[i].Nearest}
		one := Film{}
		if lpi > 0 && !plate.Nearest {
			s := halftone.Spec{Kind: halftone.AM, FreqLPI: lpi, AngleDeg: angles[i%len(angles)]}
			screen, err := halftone.New(l.ScreenSpec(s))
			if err != nil {
				t.Fatal(err)
			}
			plate.Screen, one.PitchMM, one.Curve = screen.WithCurve(gain.Inverse()), 25.4/lpi, gain
		}
		out := new(file)
		if _, err := l.Write(context.Background(), plate, out, nil); err != nil {
			t.Fatal(err)
		}
		one.TIFF = bytes.NewReader(out.data)
		films = append(films, one)
	}
	return l, films
}

func rendered(t testing.TB, r *separate.Recipe, l *film.Layout, films []Film, opts Options) *image.RGBA {
	t.Helper()
	img, err := RenderFilms(context.Background(), r, l, films, opts)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// apart is the mean CIEDE2000 of two proofs, each averaged over squares of so many pixels.
func apart(t *testing.T, a, b *image.RGBA, square int) float64 {
	t.Helper()
	if a.Rect != b.Rect {
		t.Fatalf("proofs of %v and %v", a.Rect, b.Rect)
	}
	at := func(m *image.RGBA, x, y int) col.Lab {
		var sum [3]int
		for v := range square {
			for u := range square {
				c := m.RGBAAt(x+u, y+v)
				sum[0], sum[1], sum[2] = sum[0]+int(c.R), sum[1]+int(c.G), sum[2]+int(c.B)
			}
		}
		n := square * square
		return col.RGB8{R: uint8(sum[0] / n), G: uint8(sum[1] / n), B: uint8(sum[2] / n)}.Lab()
	}
	sum, n := 0.0, 0.0
	for y := 0; y+square <= a.Rect.Dy(); y += square {
		for x := 0; x+square <= a.Rect.Dx(); x += square {
			sum, n = sum+col.DeltaE00(at(a, x, y), at(b, x, y)), n+1
		}
	}
	return sum / n
}

func TestHalftoneFilmsPrintTheTonesThatWereAsked(t *testing.T) {
	for _, garment := range []string{"#ffffff", "#17181a"} {
		r, planes, _ := printed(t, tones(300), garment, separate.SimulatedProcess)
		gain := tone.Compose(tone.EdgeGrowth(55, tone.AssumedFilmGrowthUM), tone.EdgeGrowth(55, tone.AssumedPressGrowthUM))
		l, films := filmsOf(t, r, planes, 55, gain, nil)
		opts := Options{MaxPX: 200, BorderShare: -1}
		want, err := Render(context.Background(), r, planes, opts)
		if err != nil {
			t.Fatal(err)
		}
		e := apart(t, rendered(t, r, l, films, opts), want, 4)
		t.Logf("%s: bits and tones %.2f CIEDE2000 apart over 2 mm", garment, e)
		if e > 1 {
			t.Errorf("%s: bits and tones are %.2f CIEDE2000 apart over 2 mm, limit 1", garment, e)
		}
		for i := range films {
			films[i].Curve = tone.Curve{}
		}
		if bare := apart(t, rendered(t, r, l, films, opts), want, 4); bare < e+0.2 {
			t.Errorf("%s: without the gain of the press %.2f, with it %.2f: the gain is not reckoned", garment, bare, e)
		}
	}
}

func TestLineFilmsPrintSolidsExactly(t *testing.T) {
	r, planes, _ := printed(t, square(), "#17181a", separate.Spot)
	l, films := filmsOf(t, r, planes, 0, tone.Curve{}, nil)
	opts := Options{MaxPX: 200, BorderShare: -1}
	got := rendered(t, r, l, films, opts)
	want, err := Render(context.Background(), r, planes, opts)
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range [][2]int{{10, 10}, {100, 100}, {100, 60}, {190, 100}} {
		if a, b := got.RGBAAt(at[0], at[1]), want.RGBAAt(at[0], at[1]); a != b {
			t.Errorf("at %v: %v from the films, %v from the planes", at, a, b)
		}
	}
}

func TestIndexFilmsPrintTheMixtureTheyAre(t *testing.T) {
	r, planes, _ := printed(t, tones(300), "#ffffff", separate.Index)
	l, films := filmsOf(t, r, planes, 0, tone.Curve{}, nil)
	opts := Options{MaxPX: 100, BorderShare: -1}
	want, err := Render(context.Background(), r, planes, opts)
	if err != nil {
		t.Fatal(err)
	}
	if e := apart(t, rendered(t, r, l, films, opts), want, 10); e > 1 {
		t.Errorf("bits and dots are %.2f CIEDE2000 apart over 10 mm, limit 1", e)
	}
}

// TestHowAFilmIsWrittenDoesNotShow turns, mirrors and reverses the films: the print is one.
func TestHowAFilmIsWrittenDoesNotShow(t *testing.T) {
	r, planes, _ := printed(t, lopsided(), "#ffffff", separate.Spot)
	opts := Options{MaxPX: 120, BorderShare: -1}
	l, films := filmsOf(t, r, planes, 0, tone.Curve{}, nil)
	want := rendered(t, r, l, films, opts)
	for name, change := range map[string]func(*film.Spec){
		"negative": func(s *film.Spec) { s.Negative = true },
		"mirrored": func(s *film.Spec) { s.Reading = film.WrongInkUp },
		"turned":   func(s *film.Spec) { s.Device.WidthMM = 80 },
	} {
		l, films := filmsOf(t, r, planes, 0, tone.Curve{}, change)
		if name == "turned" && !l.Rotated {
			t.Fatal("the print is not turned")
		}
		if e := apart(t, rendered(t, r, l, films, opts), want, 1); e > 0.1 {
			t.Errorf("%s: %.2f CIEDE2000 from the plain films, limit 0.1", name, e)
		}
	}
}

// lopsided is wider than high, with ink in one corner.
func lopsided() *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, 200, 100))
	draw.Draw(m, image.Rect(10, 10, 90, 40), image.NewUniform(color.NRGBA{200, 30, 40, 255}), image.Point{}, draw.Src)
	return m
}

func TestARegisterErrorShowsWhatLiesUnder(t *testing.T) {
	r, planes, _ := printed(t, square(), "#17181a", separate.Spot) // red on a white underbase
	if len(planes) != 2 {
		t.Fatalf("%d plates, want an underbase and a red", len(planes))
	}
	l, films := filmsOf(t, r, planes, 0, tone.Curve{}, nil)
	for name, draw := range map[string]func(o Options) (*image.RGBA, error){
		"tones": func(o Options) (*image.RGBA, error) { return Render(context.Background(), r, planes, o) },
		"films": func(o Options) (*image.RGBA, error) { return RenderFilms(context.Background(), r, l, films, o) },
	} {
		o := Options{MaxPX: 200, BorderShare: -1, RegisterErrorMM: 2, PrintWidthMM: 100}
		off, err := draw(o)
		if err != nil {
			t.Fatal(err)
		}
		o.RegisterErrorMM = 0
		on, err := draw(o)
		if err != nil {
			t.Fatal(err)
		}
		left, right := 51, 152 // half a millimetre inside the underbase's left edge, a millimetre past the red's right
		if c := off.RGBAAt(left, 100); c.G < 150 {
			t.Errorf("%s: the underbase does not show left of the red that moved right: %v", name, c)
		}
		if a, b := off.RGBAAt(right, 100), on.RGBAAt(right, 100); a == b {
			t.Errorf("%s: the red did not move right: %v", name, a)
		}
		if a, b := off.RGBAAt(100, 100), on.RGBAAt(100, 100); a != b {
			t.Errorf("%s: the middle changed from %v to %v", name, b, a)
		}
	}
}

func TestThePlatesGoEachAnotherWay(t *testing.T) {
	for n := 2; n <= 12; n++ {
		for i := range n {
			for j := range i {
				a, b := displacement(i, n, 0.3), displacement(j, n, 0.3)
				if d := math.Hypot(a[0]-b[0], a[1]-b[1]); d < 0.15 {
					t.Errorf("plates %d and %d of %d are %.2f mm apart, want 0.15 or more", i, j, n, d)
				}
			}
		}
	}
}

func TestTheProofOfFilmsIsTheSameOnAnyNumberOfCores(t *testing.T) {
	r, planes, _ := printed(t, tones(150), "#17181a", separate.SimulatedProcess)
	l, films := filmsOf(t, r, planes, 45, tone.EdgeGrowth(45, tone.AssumedPressGrowthUM), nil)
	var pictures [2]*image.RGBA
	for i := range pictures {
		cores := runtime.GOMAXPROCS(1 + 3*i)
		pictures[i] = rendered(t, r, l, films, Options{MaxPX: 1000})
		runtime.GOMAXPROCS(cores)
	}
	if !bytes.Equal(pictures[0].Pix, pictures[1].Pix) {
		t.Error("the proof depends on the number of cores")
	}
}

func TestFilmsThatAreNotTheRecipesAreRefused(t *testing.T) {
	r, planes, _ := printed(t, square(), "#17181a", separate.Spot)
	l, films := filmsOf(t, r, planes, 0, tone.Curve{}, nil)
	if _, err := RenderFilms(context.Background(), r, l, films[:1], Options{}); !fault.Is(err, fault.Internal) {
		t.Errorf("too few films: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := RenderFilms(ctx, r, l, films, Options{}); !fault.Is(err, fault.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func TestSpreadKeepsSolidsAndTheMean(t *testing.T) {
	for _, grown := range []float64{0.5, 0.4, 0.62, 1} {
		const wide = 65535 / 2
		if grown < 0.999 && spread(0, wide, 0.4) != 0 {
			t.Error("bare cloth wears")
		}
		if got := spread(65535, wide, max(grown, 0.5)); got != 65535 {
			t.Errorf("a solid grows to %d", got)
		}
		mean := (float64(spread(0, wide, grown)) + float64(spread(65535, wide, grown))) / 2 / 65535
		if math.Abs(mean-grown) > 1e-4 {
			t.Errorf("half solid, half bare, grown to %g: mean %g, tolerance 1e-4", grown, mean)
		}
	}
}

func TestTheEyesBlurKeepsTheLight(t *testing.T) {
	for _, sigma := range []float64{0, 0.3, 1, 7.7} {
		w := bell(sigma)
		sum := w[0]
		for _, v := range w[1:] {
			sum += 2 * v
		}
		if sum != 1<<16 {
			t.Errorf("sigma %g: weights sum to %d, want 65536", sigma, sum)
		}
	}
	checks := make([]col.XYZ, 40*40)
	for i := range checks {
		checks[i].Y = float64((i + i/40) % 2)
	}
	out := softened(checks, 40, 40, [2]float64{0.05, 0.05}, 2000)
	if y := out[20*40+20].Y; math.Abs(y-0.5) > 0.001 {
		t.Errorf("a fine check seen from 2 m is %.4f of its white, want half", y)
	}
}

func BenchmarkRenderFilms(b *testing.B) {
	r, planes, _ := printed(b, tones(500), "#17181a", separate.SimulatedProcess)
	l, films := filmsOf(b, r, planes, 55, tone.EdgeGrowth(55, tone.AssumedPressGrowthUM), nil)
	px := float64(l.WidthPX*l.HeightPX) * float64(len(films))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := RenderFilms(context.Background(), r, l, films, Options{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/px, "ns/px")
}
