package produce_test

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"testing"

	"tamis/pkg/plan"
	"tamis/pkg/produce"
)

// drawn is a picture as a file.
func drawn(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// mapOf runs the job and gives one of its maps; nil where there is none.
func mapOf(t *testing.T, in produce.Input, name string) (image.Image, plan.Doc) {
	t.Helper()
	s := newShelf()
	result, err := produce.Run(t.Context(), in, s)
	if err != nil {
		t.Fatal(err)
	}
	f, ok := s.files[name]
	if !ok {
		return nil, result.Plan
	}
	listed := false
	for _, one := range result.Files {
		listed = listed || one.Name == name
	}
	m, err := png.Decode(bytes.NewReader(s.bytes[f.SHA256]))
	if err != nil || !listed || m.Bounds().Dx() > 1200 || m.Bounds().Dy() > 1200 {
		t.Fatalf("%s: %v, listed %t, %v", name, err, listed, m)
	}
	return m, result.Plan
}

// counted is how many pixels of a box have a colour.
func counted(m image.Image, box image.Rectangle, c color.NRGBA) int {
	n := 0
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			if color.NRGBAModel.Convert(m.At(x, y)) == c {
				n++
			}
		}
	}
	return n
}

func TestTheMapShowsThinStrokesAndGaps(t *testing.T) {
	if testing.Short() {
		t.Skip("pixels by the million: the race detector's pass has shorter jobs with the same goroutines")
	}
	art := image.NewNRGBA(image.Rect(0, 0, 1200, 900)) // 60 mm: a pixel is 0.05 mm
	red := image.NewUniform(color.NRGBA{200, 50, 43, 255})
	draw.Draw(art, image.Rect(100, 100, 500, 400), red, image.Point{}, draw.Src)
	draw.Draw(art, image.Rect(300, 100, 302, 400), image.Transparent, image.Point{}, draw.Src) // a gap of 0.1 mm
	draw.Draw(art, image.Rect(700, 100, 702, 700), red, image.Point{}, draw.Src)               // a stroke of 0.1 mm
	draw.Draw(art, image.Rect(900, 100, 920, 700), red, image.Point{}, draw.Src)               // one of 1 mm
	m, doc := mapOf(t, input(t, drawn(t, art), ""), "thin.png")
	if m == nil {
		t.Fatalf("no map; warnings %v", doc.Warnings)
	}
	stroke, gap := color.NRGBA{220, 30, 20, 255}, color.NRGBA{20, 90, 230, 255}
	for _, r := range []struct {
		name string
		box  image.Rectangle
		c    color.NRGBA
		want bool
	}{
		{"the thin stroke", image.Rect(690, 90, 710, 710), stroke, true}, {"the gap", image.Rect(290, 90, 310, 410), gap, true},
		{"the thick stroke", image.Rect(890, 90, 930, 710), stroke, false}, {"the stroke as gap", image.Rect(690, 0, 1200, 900), gap, false},
	} {
		if n := counted(m, r.box, r.c); (n > 300) != r.want || !r.want && n > 0 {
			t.Errorf("%s: %d pixels marked", r.name, n)
		}
	}
}

func TestTheMapShowsWhatIsOutOfReach(t *testing.T) {
	if testing.Short() {
		t.Skip("pixels by the million: the race detector's pass has shorter jobs with the same goroutines")
	}
	art := image.NewNRGBA(image.Rect(0, 0, 400, 300))
	for y := range 300 {
		for x := range 400 { // greys, and at the right a green that a black and a white ink cannot give
			art.SetNRGBA(x, y, color.NRGBA{uint8(40 + y/2), uint8(40 + y/2), uint8(40 + y/2), 255})
			if x >= 300 {
				art.SetNRGBA(x, y, color.NRGBA{uint8(y / 4), uint8(150 + y/4), 40, 255})
			}
		}
	}
	in := input(t, drawn(t, art), `,"separation":{"method":"simulated_process","inks":["white","black"]}`)
	m, doc := mapOf(t, in, "gamut.png")
	if m == nil {
		t.Fatalf("no map; warnings %v", doc.Warnings)
	}
	far := color.NRGBA{230, 30, 120, 255}
	if n := counted(m, image.Rect(300, 0, 400, 300), far); n < 29000 {
		t.Errorf("%d of 30000 pixels of green are marked", n)
	}
	if n := counted(m, image.Rect(0, 0, 300, 300), far); n > 900 {
		t.Errorf("%d pixels of grey are marked", n)
	}
	for _, w := range doc.Warnings {
		if w.Code == "out_of_gamut" && (w.BoxMM[0] < 42 || w.BoxMM[2] != 60 || w.Remedy == "") {
			t.Errorf("the warning %+v; the green is from 45 to 60 mm", w)
		}
	}
}

func TestArtThatPrintsWellHasNoMaps(t *testing.T) {
	if testing.Short() {
		t.Skip("pixels by the million: the race detector's pass has shorter jobs with the same goroutines")
	}
	in := input(t, picture(t, false), "")
	for _, name := range []string{"thin.png", "gamut.png"} {
		if m, doc := mapOf(t, in, name); m != nil {
			t.Errorf("%s; warnings %v", name, doc.Warnings)
		}
	}
}
