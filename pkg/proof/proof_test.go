package proof

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"runtime"
	"testing"

	"tamis/pkg/artwork"
	col "tamis/pkg/color"
	"tamis/pkg/fault"
	"tamis/pkg/ink"
	"tamis/pkg/raster"
	"tamis/pkg/separate"
)

func testInks() []ink.Ink {
	return []ink.Ink{
		{ID: "white", OverWhite: col.Lab{L: 94, A: -1, B: -1}, OverBlack: col.Lab{L: 88, A: -1, B: -2}},
		{ID: "red", OverWhite: col.Lab{L: 46, A: 66, B: 44}, OverBlack: col.Lab{L: 34, A: 48, B: 30}},
		{ID: "lemon", OverWhite: col.Lab{L: 90, A: -6, B: 92}, OverBlack: col.Lab{L: 74, A: -8, B: 66}},
		{ID: "royal", OverWhite: col.Lab{L: 32, A: 14, B: -58}, OverBlack: col.Lab{L: 25, A: 9, B: -42}},
		{ID: "black", OverWhite: col.Lab{L: 15}, OverBlack: col.Lab{L: 13}},
	}
}

// printed separates a picture for a garment.
func printed(
	t testing.TB,
	m *image.NRGBA,
	garment string,
	method separate.Method,
) (*separate.Recipe, []*raster.Plane, *artwork.Image) {
	t.Helper()
	ctx := context.Background()
	img := &artwork.Image{Width: m.Rect.Dx(), Height: m.Rect.Dy(), Pix: m.Pix, HasAlpha: true}
	insp, err := artwork.Inspect(ctx, img)
	if err != nil {
		t.Fatal(err)
	}
	ground, err := col.ParseHex(garment)
	if err != nil {
		t.Fatal(err)
	}
	r, err := separate.Choose(insp, separate.Request{
		Method: method, Inks: testInks(), Ground: ground.Lab(), PrintWidthMM: 100, PrintHeightMM: 100,
	})
	if err != nil {
		t.Fatal(err)
	}
	planes, err := r.Apply(ctx, img, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r, planes, img
}

func square() *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, 200, 200))
	draw.Draw(
		m,
		image.Rect(50, 50, 150, 150),
		image.NewUniform(color.NRGBA{200, 30, 40, 255}),
		image.Point{},
		draw.Src,
	)
	return m
}

// tones is a soft round of colours that fades out.
func tones(size int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, size, size))
	for y := range size {
		for x := range size {
			u, v := float64(x)/float64(size)*2-1, float64(y)/float64(size)*2-1
			d := math.Hypot(u, v)
			f := func(a, b float64) uint8 { return uint8(130 + 90*math.Sin(3*(a*u+b*v))) }
			m.SetNRGBA(
				x,
				y,
				color.NRGBA{f(1, 0), f(0, 1), f(-1, 1) / 2, uint8(255 * (1 - min(1, max(0, (d-.6)/.3))))},
			)
		}
	}
	return m
}

func TestTheProofShowsInkOnTheGarmentAndTheGarmentAboutIt(t *testing.T) {
	r, planes, _ := printed(t, square(), "#17181a", separate.Spot)
	img, err := Render(context.Background(), r, planes, Options{BorderShare: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	if img.Rect != image.Rect(0, 0, 240, 240) {
		t.Fatalf("proof %v, want 240 x 240", img.Rect)
	}
	garment := color.RGBA{0x17, 0x18, 0x1a, 255}
	for _, at := range [][2]int{{0, 0}, {239, 100}, {30, 30}} {
		if got := img.RGBAAt(at[0], at[1]); got != garment {
			t.Errorf("at %v: %v, the garment is %v", at, got, garment)
		}
	}
	cov := make([]float64, len(planes))
	for i := range cov {
		cov[i] = float64(planes[i].Pix[100*200+100]) / 255
	}
	want := r.Stack().Predict(cov).RGB8()
	if got := img.RGBAAt(120, 120); got != (color.RGBA{want.R, want.G, want.B, 255}) {
		t.Errorf("in the middle %v, the model says %v", got, want)
	}
}

func TestTheProofIsTheSameOnAnyNumberOfCores(t *testing.T) {
	r, planes, _ := printed(t, tones(300), "#17181a", separate.SimulatedProcess)
	var files [2]bytes.Buffer
	for i := range files {
		cores := runtime.GOMAXPROCS(1 + 3*i)
		img, err := Render(context.Background(), r, planes, Options{MaxPX: 100})
		runtime.GOMAXPROCS(cores)
		if err != nil {
			t.Fatal(err)
		}
		if err := WritePNG(&files[i], img); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) {
		t.Error("the proof depends on the number of cores")
	}
	if m, err := png.Decode(&files[0]); err != nil || m.Bounds().Dx() != 112 {
		t.Errorf("the file reads as %v, %v", m.Bounds(), err)
	}
}

func TestTheScoreAgreesWithThePrediction(t *testing.T) {
	for _, garment := range []string{"#ffffff", "#808080", "#17181a"} {
		for _, m := range []separate.Method{separate.SimulatedProcess, separate.Index} {
			r, planes, img := printed(t, tones(600), garment, m)
			got, err := Score(context.Background(), r, planes, img)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf(
				"%s %s: predicted %.2f / %.2f, from the planes %.2f / %.2f",
				garment,
				m,
				r.MeanE00,
				r.P95E00,
				got.MeanE00,
				got.P95E00,
			)
			limit := 0.2
			if m == separate.Index {
				limit = 0.5 // its dots show at the scale of the comparison
			}
			if math.Abs(got.MeanE00-r.MeanE00) > limit {
				t.Errorf(
					"%s %s: predicted mean %.2f, the planes give %.2f, limit %g apart",
					garment,
					m,
					r.MeanE00,
					got.MeanE00,
					limit,
				)
			}
		}
	}
}

func TestSoftEdgesHaveNoLightFringe(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 256, 40))
	for y := range 40 {
		for x := range 256 {
			m.SetNRGBA(x, y, color.NRGBA{150, 20, 30, uint8(255 - x)}) // a dark red fades into black cloth
		}
	}
	r, planes, _ := printed(t, m, "#101010", separate.SimulatedProcess)
	light, err := lightAt(context.Background(), r, planes, 256, 40)
	if err != nil {
		t.Fatal(err)
	}
	last := 100.0
	for x := range 256 {
		l := light[20*256+x].Lab().L
		if l > last+0.5 {
			t.Errorf("at %d: L %.2f after %.2f: a light fringe", x, l, last)
		}
		last = min(last, l)
	}
}

func TestPlanesThatAreNotTheRecipesAreRefused(t *testing.T) {
	r, planes, _ := printed(t, square(), "#17181a", separate.Spot)
	if _, err := Render(context.Background(), r, planes[:1], Options{}); !fault.Is(err, fault.Internal) {
		t.Errorf("too few planes: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Render(ctx, r, planes, Options{}); !fault.Is(err, fault.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func BenchmarkRender(b *testing.B) {
	r, planes, _ := printed(b, tones(2000), "#17181a", separate.SimulatedProcess)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Render(context.Background(), r, planes, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
