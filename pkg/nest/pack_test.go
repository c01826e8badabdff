package nest

import (
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tamis/pkg/fault"
)

// lies is a film's rectangle on its sheet.
func lies(f Size, p Place) (x0, y0, x1, y1 int) {
	if p.Turned {
		f.Width, f.Height = f.Height, f.Width
	}
	return p.X, p.Y, p.X + f.Width, p.Y + f.Height
}

// TestFilmsNeverMeetAndLieOnTheirSheets draws rolls, sheets and films at random.
func TestFilmsNeverMeetAndLieOnTheirSheets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		side := rapid.IntRange(1, 500)
		r := Roll{Width: rapid.IntRange(520, 2000).Draw(t, "width"), GapX: rapid.IntRange(0, 30).Draw(t, "gap x"),
			GapY: rapid.IntRange(0, 30).Draw(t, "gap y"), EdgeX: rapid.IntRange(0, 10).Draw(t, "edge x"),
			EdgeY: rapid.IntRange(0, 10).Draw(t, "edge y"), Turn: rapid.Bool().Draw(t, "turn")}
		if rapid.Bool().Draw(t, "sheets") {
			r.MaxLength = rapid.IntRange(520, 1500).Draw(t, "length")
		}
		films := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Size {
			return Size{side.Draw(t, "w"), side.Draw(t, "h")}
		}), 1, 25).Draw(t, "films")
		plan, err := Pack(r, films)
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range plan.Places {
			x0, y0, x1, y1 := lies(films[i], p)
			if x0 < r.EdgeX || y0 < r.EdgeY || x1 > r.Width-r.EdgeX || y1 > plan.Lengths[p.Sheet]-r.EdgeY ||
				p.Turned && !r.Turn || r.MaxLength > 0 && plan.Lengths[p.Sheet] > r.MaxLength {
				t.Fatalf("film %d at %+v is off its sheet", i, p)
			}
			for j, q := range plan.Places[:i] {
				u0, v0, u1, v1 := lies(films[j], q)
				if p.Sheet == q.Sheet && x0 < u1+r.GapX && u0 < x1+r.GapX && y0 < v1+r.GapY && v0 < y1+r.GapY {
					t.Fatalf("films %d and %d are nearer than the gap: %+v %+v", j, i, p, q)
				}
			}
		}
	})
}

// TestNestsAreWithinAQuarterOfTheAreaBound packs random sets of thirty to eighty films: no packing at all is shorter
// than their area, gaps and all, over the roll's width, nor than the longest of them.
func TestNestsAreWithinAQuarterOfTheAreaBound(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	worst, sum := 0.0, 0.0
	const sets = 40
	for n := range sets {
		roll := Roll{Width: 6000, GapX: 40, GapY: 40, Turn: n%2 == 0}
		area, longest := 0, 0
		films := make([]Size, 30+r.IntN(51))
		for i := range films {
			films[i] = Size{400 + r.IntN(2600), 400 + r.IntN(2600)}
			area += (films[i].Width + 40) * (films[i].Height + 40)
			longest = max(longest, min(films[i].Width, films[i].Height))
		}
		plan, err := Pack(roll, films)
		if err != nil {
			t.Fatal(err)
		}
		bound := max(float64(area)/float64(roll.Width+40)-40, float64(longest))
		ratio := float64(plan.Length()) / bound
		worst, sum = max(worst, ratio), sum+ratio
		if ratio > 1.25 {
			t.Errorf("set %d: %d films take %.3f times the bound (at most 1.25)", n, len(films), ratio)
		}
	}
	t.Logf("over %d sets: worst %.3f, mean %.3f of the area bound", sets, worst, sum/sets)
}

func TestTheSameFilmsLieTheSame(t *testing.T) {
	films := []Size{{300, 200}, {500, 100}, {120, 340}, {300, 200}}
	a, _ := Pack(Roll{Width: 640, GapX: 5, GapY: 5, Turn: true}, films)
	b, _ := Pack(Roll{Width: 640, GapX: 5, GapY: 5, Turn: true}, films)
	if !slices.Equal(a.Places, b.Places) || !slices.Equal(a.Lengths, b.Lengths) {
		t.Errorf("%+v and %+v", a, b)
	}
	if f := a.Filled(Roll{Width: 640}, films); f < 0.6 || f > 1 {
		t.Errorf("%.3f is filled", f)
	}
}

func TestAFilmThatFitsNoWayIsNamed(t *testing.T) {
	for _, r := range []Roll{{Width: 400}, {Width: 700, MaxLength: 400}, {Width: 400, MaxLength: 400, Turn: true}} {
		_, err := Pack(r, []Size{{100, 100}, {500, 450}})
		if f := fault.Of(err); f.Kind != fault.Invalid || f.Field != "/jobs" {
			t.Errorf("%+v: %v", r, err)
		}
	}
	if _, err := Pack(Roll{Width: 460, Turn: true}, []Size{{500, 450}}); err != nil {
		t.Errorf("turned it fits: %v", err)
	}
	if _, err := Pack(Roll{Width: 460}, nil); err == nil {
		t.Error("no films were nested")
	}
}

func BenchmarkPackSixtyFilms(b *testing.B) {
	r := rand.New(rand.NewPCG(7, 7))
	films := make([]Size, 60)
	for i := range films {
		films[i] = Size{400 + r.IntN(2600), 400 + r.IntN(2600)}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Pack(Roll{Width: 6000, GapX: 40, GapY: 40, Turn: true}, films); err != nil {
			b.Fatal(err)
		}
	}
}
