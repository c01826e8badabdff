package artwork

import (
	"context"
	"encoding/json"
	"image"
	"image/color"
	"image/draw"
	"math/rand/v2"
	"reflect"
	"testing"

	"tamis/pkg/fault"
)

func TestTheOverviewSaysWhereColoursAre(t *testing.T) {
	red, blue := color.NRGBA{200, 30, 40, 255}, color.NRGBA{20, 40, 220, 255}
	m := painted(960, 480, func(x, y int) color.NRGBA {
		switch {
		case x < 240:
			return red
		case x >= 800 && y >= 400:
			return blue
		case x < 480:
			return color.NRGBA{90, 90, 90, 255}
		}
		return color.NRGBA{}
	})
	insp := inspected(t, m)
	o := &insp.Overview
	if o.Columns != 48 || o.Rows != 24 {
		t.Fatalf("%d x %d cells", o.Columns, o.Rows)
	}
	for n, c := range insp.Colors {
		got := o.Boxes(960, 480, 8, func(cell int) bool { return o.Has(cell, n) })
		want := map[string][]Box{"#c81e28": {{0, 0, 240, 480}}, "#5a5a5a": {{240, 0, 480, 480}}, "#1428dc": {{800, 400, 960, 480}}}
		if !reflect.DeepEqual(got, want[c.Hex]) {
			t.Errorf("%s is in %v, want %v", c.Hex, got, want[c.Hex])
		}
	}
	if rgb, alpha := o.MeanColor(o.At(10, 10, 960, 480)); rgb.Hex() != "#c81e28" || alpha != 1 {
		t.Errorf("the left is %s, alpha %g", rgb.Hex(), alpha)
	}
	if _, alpha := o.MeanColor(o.At(700, 100, 960, 480)); alpha != 0 {
		t.Errorf("the clear part has alpha %g", alpha)
	}
}

// TestASmallSaturatedSignIsNotAveragedAway: 1 % of a cell in a strong colour.
func TestASmallSaturatedSignIsNotAveragedAway(t *testing.T) {
	m := painted(1920, 1920, func(x, y int) color.NRGBA { return color.NRGBA{uint8(90 + x/40), uint8(90 + y/40), 100, 255} })
	draw.Draw(m, image.Rect(1000, 1000, 1010, 1010), image.NewUniform(color.NRGBA{250, 20, 20, 255}), image.Point{}, draw.Src)
	o := inspected(t, m).Overview
	cell := o.At(1005, 1005, 1920, 1920)
	if c := o.VividColor(cell); c.R < 220 || c.G > 60 {
		t.Errorf("the most saturated colour there is %s", c.Hex())
	}
	if c := o.VividColor(o.At(100, 100, 1920, 1920)); c.R > 120 {
		t.Errorf("elsewhere it is %s", c.Hex())
	}
}

func TestCellsThatTouchMakeOneBox(t *testing.T) {
	o := &Overview{Columns: 5, Rows: 4}
	in := map[int]bool{0: true, 6: true, 9: true, 14: true, 19: true, 17: true}
	got := o.Boxes(50, 40, 2, func(cell int) bool { return in[cell] })
	if want := []Box{{40, 10, 50, 40}, {0, 0, 20, 20}}; !reflect.DeepEqual(got, want) {
		t.Errorf("boxes %v, want %v", got, want)
	}
}

// TestTheOverviewStaysSmall tries what packs worst: noise of soft art.
func TestTheOverviewStaysSmall(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	m := painted(500, 500, func(x, y int) color.NRGBA {
		return color.NRGBA{uint8(r.Uint32()), uint8(r.Uint32()), uint8(r.Uint32()), uint8(r.Uint32())}
	})
	doc, err := json.Marshal(inspected(t, m).Overview)
	if err != nil || len(doc) > 30_000 {
		t.Errorf("%d bytes, 30000 at most; %v", len(doc), err)
	}
}

func TestOneRowOfPixelsHasAnOverview(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {3000, 1}, {1, 3000}, {47, 13}} {
		m := painted(size[0], size[1], func(x, y int) color.NRGBA { return color.NRGBA{200, 30, 40, 255} })
		o := inspected(t, m).Overview
		for y := range size[1] {
			for x := range size[0] {
				b := o.Box(o.At(x, y, size[0], size[1]), size[0], size[1])
				if x < b[0] || x >= b[2] || y < b[1] || y >= b[3] {
					t.Fatalf("%v: pixel %d, %d is not in its cell %v", size, x, y, b)
				}
			}
		}
	}
}

func TestPackedComesBackAndRefusesWhatIsNotIt(t *testing.T) {
	for _, p := range []Packed{{}, {1, 2, 3}, make(Packed, 50_000)} {
		text, err := json.Marshal(p)
		var back Packed
		if err != nil || json.Unmarshal(text, &back) != nil || !reflect.DeepEqual(back, p) {
			t.Errorf("%d bytes come back as %d; %v", len(p), len(back), err)
		}
	}
	large, _ := json.Marshal(make(Packed, mostPacked+1))
	for _, text := range []string{`"AAAA"`, `"!"`, `7`, string(large)} {
		if json.Unmarshal([]byte(text), new(Packed)) == nil {
			t.Errorf("%.20s is taken", text)
		}
	}
}

func TestMarksAreThoseOfTheOverviewAndEndWithTheirContext(t *testing.T) {
	m := stroked(400, color.White, color.NRGBA{200, 30, 40, 255}, 3, 20)
	img := &Image{Width: 400, Height: 400, Pix: m.Pix}
	insp := inspected(t, m)
	marks, err := img.Marks(t.Context(), insp.Kind, insp.Colors, 31)
	if err != nil || len(marks) < 200 {
		t.Fatalf("%d marks, %v", len(marks), err)
	}
	for _, k := range marks {
		if o := insp.Overview; o.Line(o.At(k.X, k.Y, 400, 400), k.Kind).WidthPX == 0 {
			t.Fatalf("%+v is not in the overview", k)
		}
	}
	if none, _ := img.Marks(t.Context(), Continuous, nil, 31); len(none) > 0 {
		t.Error("soft art has lines")
	}
	if _, err := img.Marks(cancelled(t), insp.Kind, insp.Colors, 31); !fault.Is(err, fault.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func cancelled(t *testing.T) context.Context {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	return ctx
}
