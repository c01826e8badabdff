package plan_test

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/pkg/artwork"
	"tamis/pkg/plan"
)

// looked inspects a drawing.
func looked(t testing.TB, m image.Image) *artwork.Inspection {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return lookedFile(t, b.Bytes())
}

func lookedFile(t testing.TB, data []byte) *artwork.Inspection {
	t.Helper()
	img, err := artwork.Decode(context.Background(), data, artwork.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	insp, err := artwork.Inspect(context.Background(), img)
	if err != nil {
		t.Fatal(err)
	}
	return insp
}

// warned is the warning of a code; nil for none.
func warned(p *plan.Plan, code string) *plan.Warning {
	for i, w := range p.Doc.Warnings {
		if w.Code == code {
			return &p.Doc.Warnings[i]
		}
	}
	return nil
}

var red, navy = color.NRGBA{200, 50, 43, 255}, color.NRGBA{31, 58, 95, 255}

// sheetOf is a drawing of 1200 x 1200 px, 120 mm here, so a pixel is 0.1 mm: a block that makes it flat, and what add
// draws.
func sheetOf(ground color.Color, add func(fill func(x0, y0, x1, y1 int, c color.Color))) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, 1200, 1200))
	draw.Draw(m, m.Rect, image.NewUniform(ground), image.Point{}, draw.Src)
	fill := func(x0, y0, x1, y1 int, c color.Color) {
		draw.Draw(m, image.Rect(x0, y0, x1, y1), image.NewUniform(c), image.Point{}, draw.Src)
	}
	fill(20, 20, 1180, 400, red)
	fill(20, 1100, 1180, 1180, red)
	add(fill)
	return m
}

const at120 = `,"print":{"width_mm":120}`

func TestFindingsOnLines(t *testing.T) {
	type painter = func(fill func(x0, y0, x1, y1 int, c color.Color))
	for _, r := range []struct {
		name, garment string
		ground        color.Color
		add           painter
		want          string // "": none of the three
		severity      string
		box           [4]float64 // in mm, kept to a cell: 2.5 mm
	}{
		{"a stroke of 0.1 mm", "#ffffff", color.Transparent, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
			fill(300, 600, 301, 900, red)
		}, "thin_strokes", "warning", [4]float64{30, 60, 30.1, 90}},
		{"a stroke of 0.5 mm", "#ffffff", color.Transparent, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
			fill(300, 600, 305, 900, red)
		}, "", "", [4]float64{}},
		{"a sliver of 0.1 mm that is 5 mm long", "#ffffff", color.Transparent, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
			fill(300, 600, 301, 650, red)
		}, "", "", [4]float64{}},
		{"a clear gap of 0.1 mm", "#17181a", color.Transparent, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
			fill(200, 500, 800, 1000, red)
			fill(600, 500, 601, 1000, color.Transparent)
		}, "gaps_close", "info", [4]float64{60, 50, 60.1, 100}},
		{"a white gap of 0.1 mm on a white garment", "#ffffff", color.White, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
			fill(200, 500, 800, 1000, red)
			fill(600, 500, 601, 1000, color.White)
		}, "gaps_close", "info", [4]float64{60, 50, 60.1, 100}},
		{"the same line in navy is a stroke", "#ffffff", color.White, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
			fill(200, 500, 800, 1000, red)
			fill(600, 500, 601, 1000, navy)
			fill(900, 500, 1100, 1000, navy)
		}, "thin_strokes", "warning", [4]float64{60, 50, 60.1, 100}},
		{"a gap of 1 mm", "#ffffff", color.White, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
			fill(200, 500, 800, 1000, red)
			fill(600, 500, 610, 1000, color.White)
		}, "", "", [4]float64{}},
		{"thirty specks of 0.1 mm", "#ffffff", color.White, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
			for i := range 30 {
				fill(500+10*(i%6), 600+10*(i/6), 501+10*(i%6), 601+10*(i/6), red)
			}
		}, "tiny_specks", "info", [4]float64{50, 60, 55.1, 64.1}},
		{"thirty dots of 1 mm", "#ffffff", color.White, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
			for i := range 30 {
				fill(500+20*(i%6), 600+20*(i/6), 510+20*(i%6), 610+20*(i/6), red)
			}
		}, "", "", [4]float64{}},
	} {
		p := made(t, input(t, looked(t, sheetOf(r.ground, r.add)), r.garment, at120))
		for _, code := range []string{"thin_strokes", "gaps_close", "tiny_specks"} {
			w := warned(p, code)
			switch {
			case (w != nil) != (code == r.want):
				t.Errorf("%s: %s is %+v (plates %+v)", r.name, code, w, p.Doc.Plates)
			case w == nil:
			case w.Severity != r.severity || w.Remedy == "" || w.Plate == 0 || len(w.BoxesMM) != 1:
				t.Errorf("%s: %+v", r.name, *w)
			default:
				for i := range 4 {
					if math.Abs(w.BoxMM[i]-r.box[i]) > 2.6 {
						t.Errorf("%s: box %v, drawn at %v (tol 2.6 mm)", r.name, w.BoxMM, r.box)
						break
					}
				}
			}
		}
	}
}

// TestALargerPrintHoldsMore: what is lost at one size is doubtful at another and holds at a third.
func TestALargerPrintHoldsMore(t *testing.T) {
	insp := looked(t, sheetOf(color.Transparent, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
		fill(300, 600, 302, 900, red) // 2 px of 1200, and a gap of 1
		fill(600, 500, 800, 1000, red)
		fill(700, 500, 701, 1000, color.Transparent)
	}))
	for _, r := range []struct {
		widthMM int
		code    string
		want    string
	}{
		{60, "thin_strokes", "warning"}, {102, "thin_strokes", "info"}, {300, "thin_strokes", ""},
		{60, "gaps_close", "warning"}, {120, "gaps_close", "info"}, {300, "gaps_close", ""},
	} {
		p := made(t, input(t, insp, "#ffffff", fmt.Sprintf(`,"print":{"width_mm":%d}`, r.widthMM)))
		if w := warned(p, r.code); w == nil && r.want != "" || w != nil && w.Severity != r.want {
			t.Errorf("%d mm wide: %s is %+v, want %q", r.widthMM, r.code, w, r.want)
		}
	}
}

func TestFindingsOnTheLayoutDependOnTheGarment(t *testing.T) {
	boxed := image.NewNRGBA(image.Rect(0, 0, 1200, 600))
	draw.Draw(boxed, boxed.Rect, image.White, image.Point{}, draw.Src)
	draw.Draw(boxed, image.Rect(300, 150, 900, 450), image.NewUniform(red), image.Point{}, draw.Src)
	insp := looked(t, boxed)
	onWhite, onBlack := made(t, input(t, insp, "#ffffff", at120)), made(t, input(t, insp, "#17181a", at120))
	if w := warned(onBlack, "white_box"); w == nil || w.BoxMM != [4]float64{0, 0, 120, 60} || w.Remedy == "" {
		t.Errorf("on black: %+v", w)
	}
	if w := warned(onWhite, "white_box"); w != nil {
		t.Errorf("on white the box does not show: %+v", *w)
	}
	w := warned(onWhite, "small_on_canvas")
	if w == nil || w.BoxMM != [4]float64{30, 15, 90, 45} || !strings.Contains(w.Message, "60 x 30 mm of the 120 x 60 mm") ||
		!strings.Contains(w.Remedy, "240 mm") {
		t.Errorf("on white: %+v", w)
	}
	if w := warned(onBlack, "small_on_canvas"); w != nil {
		t.Errorf("on black the border prints: %+v", *w)
	}
}

func TestLowResolutionSaysWhatWouldDo(t *testing.T) {
	insp := inspected(t, false) // 300 x 360 px
	w := warned(made(t, input(t, insp, "#ffffff", `,"print":{"width_mm":254}`)), "low_resolution")
	if w == nil || w.BoxMM[2] != 254 || !strings.Contains(w.Remedy, "1500 x 1800 pixels") || !strings.Contains(w.Remedy, "20 %") {
		t.Errorf("30 ppi: %+v", w)
	}
	if w := warned(made(t, input(t, insp, "#ffffff", `,"print":{"width_mm":40}`)), "low_resolution"); w != nil {
		t.Errorf("190 ppi: %+v", *w)
	}
}

func TestColoursOutOfReachAreSaidWithTheirPlace(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 400, 400))
	for y := range 400 {
		for x := range 400 { // greys, and in a corner greens
			g := uint8(30 + y/2)
			m.SetNRGBA(x, y, color.NRGBA{g, g, g, 255})
			if x >= 240 && y >= 200 {
				m.SetNRGBA(x, y, color.NRGBA{uint8(20 + x/40), uint8(110 + y/20), 62, 255})
			}
		}
	}
	insp := looked(t, m)
	for _, method := range []string{"simulated_process", "index"} {
		for inks, want := range map[string]bool{`["white","black"]`: true, `["white","black","leaf-green","lime"]`: false} {
			p := made(t, input(t, insp, "#808080", at120+`,"separation":{"method":"`+method+`","inks":`+inks+`}`))
			w := warned(p, "out_of_gamut")
			if (w != nil) != want {
				t.Errorf("%s with %s: %+v", method, inks, w)
			}
			if w != nil && (w.BoxMM[0] < 69 || w.BoxMM[1] < 57 || w.BoxMM[2] != 120 || w.BoxMM[3] != 120 || w.Remedy == "") {
				t.Errorf("%s: %+v; the greens are in the box 72, 60, 120, 120", method, *w)
			}
		}
	}
}

// TestABlackThatPrintsBlackIsNoFinding: the artwork's is darker than any ink; a blue that prints as black is one.
func TestABlackThatPrintsBlackIsNoFinding(t *testing.T) {
	soft := func(blue uint8) *artwork.Inspection {
		m := image.NewNRGBA(image.Rect(0, 0, 300, 300))
		for y := range 300 {
			for x := range 300 {
				g := uint8(max(0, x-100))
				m.SetNRGBA(x, y, color.NRGBA{g, g, max(g, blue), 255})
			}
		}
		return looked(t, m)
	}
	flat := func(c color.NRGBA) *artwork.Inspection {
		return looked(t, sheetOf(color.Transparent, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
			fill(0, 0, 1200, 1200, c)
		}))
	}
	const black = `,"separation":{"inks":["black"]}`
	for _, r := range []struct {
		name string
		insp *artwork.Inspection
		code string
		want bool
	}{
		{"soft black", soft(0), "out_of_gamut", false}, {"soft blue", soft(160), "out_of_gamut", true},
		{"flat black", flat(color.NRGBA{0, 0, 0, 255}), "ink_far_off", false},
		{"flat blue", flat(color.NRGBA{0, 0, 160, 255}), "ink_far_off", true},
	} {
		if w := warned(made(t, input(t, r.insp, "#ffffff", at120+black)), r.code); (w != nil) != r.want {
			t.Errorf("%s: %+v", r.name, w)
		}
	}
}

// TestColoursThatCouldShareAScreen: two reds 4.6 CIEDE2000 apart, each with an ink mixed for it, and two far apart.
func TestColoursThatCouldShareAScreen(t *testing.T) {
	for _, r := range []struct {
		second color.NRGBA
		want   bool
	}{{color.NRGBA{226, 20, 33, 255}, true}, {navy, false}} {
		insp := looked(t, sheetOf(color.Transparent, func(fill func(x0, y0, x1, y1 int, c color.Color)) {
			fill(600, 500, 900, 800, r.second)
		}))
		p := made(t, input(t, insp, "#ffffff", at120+`,"separation":{"free_inks":true}`))
		w := warned(p, "near_duplicate_colors")
		if (w != nil) != r.want {
			t.Errorf("%v: %+v (colours %v, plates %+v)", r.second, w, insp.Colors, p.Doc.Plates)
		}
		if w != nil && (w.BoxMM != [4]float64{60, 50, 90, 82.5} || !strings.Contains(w.Remedy, "in place of "+p.Quote.Total)) {
			t.Errorf("%+v; the rarer is in cells from 60, 50 to 90, 82.5; total %s", *w, p.Quote.Total)
		}
	}
}

// TestTheDemoPicturesRaiseNoFalseAlarm plans them as the sample prints them.
func TestTheDemoPicturesRaiseNoFalseAlarm(t *testing.T) {
	for name, order := range map[string][2]string{"orchard-fair.png": {"#20304a", "280"}, "lantern-night.png": {"#17181a", "300"},
		"bee-stencil.png": {"#e9dfc8", "180"}} {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "art", name))
		if err != nil {
			t.Fatal(err)
		}
		p := made(t, input(t, lookedFile(t, data), order[0], `,"print":{"width_mm":`+order[1]+`}`))
		for _, w := range p.Doc.Warnings {
			switch w.Code {
			case "assumed_curves", "ink_far_off", "prints_as_garment":
			default:
				if w.Severity != "info" {
					t.Errorf("%s: %+v", name, w)
				}
			}
		}
	}
}

func TestEveryWarningSaysWhatToDo(t *testing.T) {
	insp := inspected(t, true)
	p := made(t, input(t, insp, "#17181a", `,"halftone":{"kind":"fm","lpi":45},"separation":{"index_dpi":200},"print":{"width_mm":20}`))
	if len(p.Doc.Warnings) == 0 {
		t.Error("no warning to look at")
	}
	for _, w := range p.Doc.Warnings {
		if w.Remedy == "" || w.Severity == "" {
			t.Errorf("%+v", w)
		}
	}
}
