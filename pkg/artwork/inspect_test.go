package artwork

import (
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"reflect"
	"runtime"
	"testing"

	"golang.org/x/image/vector"

	"tamis/pkg/fault"
)

func inspected(t testing.TB, m *image.NRGBA) *Inspection {
	t.Helper()
	img := &Image{Width: m.Rect.Dx(), Height: m.Rect.Dy(), Pix: m.Pix, PPI: 300}
	for i := 3; i < len(m.Pix); i += 4 {
		img.HasAlpha = img.HasAlpha || m.Pix[i] != 255
	}
	insp, err := Inspect(context.Background(), img)
	if err != nil {
		t.Fatal(err)
	}
	return insp
}

// painted calls f for every pixel.
func painted(w, h int, f func(x, y int) color.NRGBA) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetNRGBA(x, y, f(x, y))
		}
	}
	return m
}

// rays draws anti-aliased rays in a few colours on a ground.
func rays(w, h int, ground color.Color, colors ...color.Color) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	draw.Draw(m, m.Rect, image.NewUniform(ground), image.Point{}, draw.Src)
	for i := range 30 {
		a := float64(i) * math.Pi / 15
		z := vector.NewRasterizer(w, h)
		cx, cy := float64(w)/2, float64(h)/2
		z.MoveTo(float32(cx), float32(cy))
		z.LineTo(float32(cx+cx*math.Cos(a)), float32(cy+cy*math.Sin(a)))
		z.LineTo(float32(cx+cx*math.Cos(a+.1)), float32(cy+cy*math.Sin(a+.1)))
		z.ClosePath()
		z.Draw(m, m.Rect, image.NewUniform(colors[i%len(colors)]), image.Point{})
	}
	return m
}

func TestKindsOfArtwork(t *testing.T) {
	red, blue, gold := color.NRGBA{
		200,
		30,
		40,
		255,
	}, color.NRGBA{
		20,
		40,
		120,
		255,
	}, color.NRGBA{
		240,
		190,
		40,
		255,
	}
	gradient := painted(
		500,
		400,
		func(x, y int) color.NRGBA { return color.NRGBA{uint8(x / 2), uint8(x / 2), uint8(x / 2), 255} },
	)
	photo := painted(500, 400, func(x, y int) color.NRGBA {
		f := func(a, b float64) uint8 { return uint8(128 + 100*math.Sin(a*float64(x)/90+b*float64(y)/70)) }
		return color.NRGBA{f(1, 1), f(2, -1), f(-1, 2), 255}
	})
	both := painted(800, 400, func(x, y int) color.NRGBA {
		if x < 600 {
			return red
		}
		return photo.NRGBAAt(x-500, y)
	})
	fade := painted(500, 400, func(x, y int) color.NRGBA { return color.NRGBA{200, 30, 40, uint8(x / 2)} })
	jpeg := decoded(t, jpegBytes(t, rays(500, 400, color.White, red, blue), 90))
	rows := []struct {
		name string
		m    *image.NRGBA
		want Kind
	}{
		{"rays on white", rays(500, 400, color.White, red, blue, gold), Flat},
		{"rays on nothing", rays(500, 400, color.Transparent, red, blue, gold), Flat},
		{"one colour", rays(500, 400, color.Transparent, red), Flat},
		{
			"the same through JPEG",
			&image.NRGBA{Pix: jpeg.Pix, Stride: 2000, Rect: image.Rect(0, 0, 500, 400)},
			Flat,
		},
		{"grey gradient", gradient, Continuous},
		{"photograph", photo, Continuous},
		{"flat colour beside a photograph", both, Mixed},
		{"a colour that fades out", fade, Mixed},
	}
	for _, r := range rows {
		insp := inspected(t, r.m)
		list, stray := insp.Digest.palette()
		if insp.Kind != r.want {
			t.Errorf(
				"%s is %s, want %s (%d colours, stray %.3f, still %.3f)",
				r.name,
				insp.Kind,
				r.want,
				len(list),
				stray,
				insp.Digest.Still,
			)
		}
	}
}

func TestMainColoursAreExactInFlatArt(t *testing.T) {
	insp := inspected(
		t,
		rays(500, 400, color.White, color.NRGBA{200, 30, 40, 255}, color.NRGBA{20, 40, 120, 255}),
	)
	sum := 0.0
	for i, want := range []string{"#ffffff", "#142878", "#c81e28"} {
		if len(insp.Colors) != 3 || insp.Colors[i].Hex != want {
			t.Fatalf("colours %v", insp.Colors)
		}
		sum += insp.Colors[i].Share
	}
	if math.Abs(sum-1) > 1e-3 {
		t.Errorf("shares sum to %g", sum)
	}
}

func TestTheInspectionIsADocumentAndDoesNotDependOnCores(t *testing.T) {
	m := painted(300, 200, func(x, y int) color.NRGBA {
		return color.NRGBA{uint8(x * 7), uint8(y * 5), uint8(x * y), uint8(255 - x/3)}
	})
	many := inspected(t, m)
	cores := runtime.GOMAXPROCS(1)
	one := inspected(t, m)
	runtime.GOMAXPROCS(cores)
	if !reflect.DeepEqual(many, one) {
		t.Error("the inspection depends on the number of cores")
	}
	doc, err := json.Marshal(many)
	if err != nil {
		t.Fatal(err)
	}
	var back Inspection
	if err := json.Unmarshal(doc, &back); err != nil || !reflect.DeepEqual(&back, many) {
		t.Errorf("the document does not come back: %v", err)
	}
	share := many.Digest.Transparent
	for _, b := range many.Digest.Bins {
		share += b.Share
	}
	if n := len(many.Digest.Bins); n > maxBins || math.Abs(share-1) > 1e-4 {
		t.Errorf("%d bins, shares sum to %g", n, share)
	}
	t.Logf("%d bins, %d bytes", len(many.Digest.Bins), len(doc))
}

func TestThePreviewIsSmallAndLooksLikeTheArt(t *testing.T) {
	m := rays(1200, 600, color.Transparent, color.NRGBA{200, 30, 40, 255})
	p, err := png.Decode(bytes.NewReader(inspected(t, m).Preview))
	if err != nil {
		t.Fatal(err)
	}
	if p.Bounds() != image.Rect(0, 0, 400, 200) {
		t.Fatalf("preview %v", p.Bounds())
	}
	if r, g, _, a := p.At(390, 104).RGBA(); r>>8 < 180 || g>>8 > 60 || a>>8 < 240 {
		t.Errorf("the first ray is %v in the preview", p.At(390, 104))
	}
	if _, _, _, a := p.At(2, 2).RGBA(); a != 0 {
		t.Error("the corner is not transparent")
	}
}

func codes(list []Finding) (out []string) {
	for _, f := range list {
		out = append(out, f.Code)
	}
	return out
}

// framed is a drawing of some colours in a box on a canvas.
func framed(canvas, ground color.Color, box image.Rectangle) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, 200, 200))
	draw.Draw(m, m.Rect, image.NewUniform(canvas), image.Point{}, draw.Src)
	draw.Draw(m, box, image.NewUniform(ground), image.Point{}, draw.Src)
	inner := box.Inset(box.Dx() / 8)
	art := rays(inner.Dx(), inner.Dy(), color.Transparent, color.NRGBA{200, 30, 40, 255}, color.NRGBA{20, 40, 120, 255})
	draw.Draw(m, inner, art, image.Point{}, draw.Over)
	return m
}

func TestFindingsOnTheLayout(t *testing.T) {
	red := color.NRGBA{200, 30, 40, 255}
	full := painted(100, 100, func(x, y int) color.NRGBA { return red })
	corner := image.NewNRGBA(full.Rect)
	draw.Draw(corner, image.Rect(20, 20, 60, 70), image.NewUniform(red), image.Point{}, draw.Src)
	all, part := image.Rect(0, 0, 200, 200), image.Rect(20, 20, 180, 180)
	soft := painted(200, 200, func(x, y int) color.NRGBA { return color.NRGBA{uint8(x), uint8(y), 90, 255} })
	rows := []struct {
		name string
		m    *image.NRGBA
		want []string
		box  Box // of the first
	}{
		{"art in a corner of its canvas", corner, []string{"small_on_canvas"}, Box{20, 20, 60, 70}},
		{"art on a white box", framed(color.White, color.White, all), []string{"small_on_canvas", "white_box"}, Box{25, 25, 175, 175}},
		{"art on a nearly white box on nothing", framed(color.Transparent, color.NRGBA{250, 250, 248, 255}, part),
			[]string{"small_on_canvas", "white_box"}, Box{40, 40, 160, 160}},
		{"art on a red box", framed(red, red, all), []string{"small_on_canvas"}, Box{25, 25, 175, 175}},
		{"art that reaches the border of its white ground", rays(200, 200, color.White, red), nil, Box{}},
		{"full art", full, nil, Box{}},
		{"white all over", painted(50, 50, func(x, y int) color.NRGBA { return color.NRGBA{255, 255, 255, 255} }), nil, Box{}},
		{"a soft picture", soft, nil, Box{}},
		{"nothing", image.NewNRGBA(image.Rect(0, 0, 10, 10)), []string{"artwork_empty"}, Box{}},
	}
	for _, r := range rows {
		found := inspected(t, r.m).Findings
		if got := codes(found); !reflect.DeepEqual(got, r.want) {
			t.Errorf("%s: %v, want %v", r.name, got, r.want)
			continue
		}
		for i, f := range found {
			if f.Remedy == "" || i == 0 && f.Box != r.box {
				t.Errorf("%s: %+v, want the box %v and a remedy", r.name, f, r.box)
			}
		}
	}
}

func TestResolutionAtThePrintSize(t *testing.T) {
	i := &Inspection{Width: 3000, Height: 1500}
	rows := []struct {
		w, h, ppi float64
		severity  Severity
	}{
		{254, 127, 300, ""}, {254, 0, 300, ""}, {0, 254, 150, ""}, {254, 254, 150, ""},
		{762, 381, 100, Info}, {1524, 762, 50, Warning}, {0, 0, 0, ""},
	}
	for _, r := range rows {
		ppi, found := i.AtPrintSize(r.w, r.h)
		if math.Abs(ppi-r.ppi) > 1e-9 {
			t.Errorf("%g x %g mm: %g ppi, want %g", r.w, r.h, ppi, r.ppi)
		}
		if (r.severity == "") != (len(found) == 0) || len(found) == 1 && found[0].Severity != r.severity {
			t.Errorf("%g x %g mm: %v", r.w, r.h, found)
		}
	}
}

func TestResampledKeepsLightAndAlpha(t *testing.T) {
	m := painted(64, 64, func(x, y int) color.NRGBA {
		if (x+y)%2 == 0 {
			return color.NRGBA{255, 255, 255, 255}
		}
		return color.NRGBA{0, 0, 0, 255}
	})
	img := &Image{Width: 64, Height: 64, Pix: m.Pix}
	if got := img.Resampled(16, 16).Pix[:4]; !bytes.Equal(got, []byte{188, 188, 188, 255}) {
		t.Errorf("half light is %v, want code 188", got)
	}
	half := painted(2, 1, func(x, y int) color.NRGBA { return color.NRGBA{200, 0, 0, uint8(255 * x)} })
	img = &Image{Width: 2, Height: 1, Pix: half.Pix}
	if got := img.Resampled(1, 1).Pix; !bytes.Equal(got, []byte{200, 0, 0, 128}) {
		t.Errorf("red beside nothing is %v: what is transparent must not darken it", got)
	}
}

func TestACancelledContextStopsInspection(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Inspect(ctx, &Image{Width: 1, Height: 1, Pix: make([]uint8, 4)}); !fault.Is(
		err,
		fault.Canceled,
	) {
		t.Errorf("cancelled: %v", err)
	}
}
