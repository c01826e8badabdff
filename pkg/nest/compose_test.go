package nest

import (
	"errors"
	"io"
	"math/rand/v2"
	"testing"

	"tamis/pkg/raster"
)

// noise is a film of random bits; the corner says which way it lies.
func noise(r *rand.Rand, s Size) *raster.Bitmap {
	b := raster.NewBitmap(s.Width, s.Height)
	for y := range s.Height {
		for x := range s.Width {
			b.Set(x, y, r.IntN(3) == 0)
		}
	}
	return b
}

// TestEveryFilmLiesWhereItsPlaceSays joins random films and looks every pixel of each up on its sheet.
func TestEveryFilmLiesWhereItsPlaceSays(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 4))
	for n := range 30 {
		roll := Roll{Width: 400 + r.IntN(200), GapX: 20, GapY: 12, EdgeX: 10, EdgeY: 6, Turn: n%3 > 0}
		if n%2 == 0 {
			roll.MaxLength = 420
		}
		var films []Size
		var bitmaps []*raster.Bitmap
		for range 1 + r.IntN(12) {
			films = append(films, Size{1 + r.IntN(380), 1 + r.IntN(380)})
			bitmaps = append(bitmaps, noise(r, films[len(films)-1]))
		}
		plan, err := Pack(roll, films)
		if err != nil {
			t.Fatal(err)
		}
		var sheets []*raster.Bitmap
		for s := range plan.Lengths {
			open := func(i int) (Film, error) { return &bits{Bitmap: bitmaps[i]}, nil }
			sheets = append(sheets, joined(t, plan.NewSheet(s, roll, films, open, n%2)))
		}
		for i, p := range plan.Places {
			checkPlaced(t, bitmaps[i], sheets[p.Sheet], p)
		}
	}
}

// joined reads a sheet whole.
func joined(t *testing.T, s *Sheet) *raster.Bitmap {
	t.Helper()
	b := raster.NewBitmap(s.Width, s.Length)
	for y := range b.Height {
		if err := s.Next(b.Row(y)); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Next(b.Row(0)); !errors.Is(err, io.EOF) {
		t.Fatalf("after the last row: %v", err)
	}
	return b
}

func checkPlaced(t *testing.T, film, sheet *raster.Bitmap, p Place) {
	t.Helper()
	for y := range film.Height {
		for x := range film.Width {
			u, v := p.X+x, p.Y+y
			if p.Turned {
				u, v = p.X+y, p.Y+film.Width-1-x
			}
			if film.At(x, y) != sheet.At(u, v) {
				t.Fatalf("%d x %d px at %+v: pixel %d, %d differs", film.Width, film.Height, p, x, y)
			}
		}
	}
}

func TestCutMarksStandInTheGapAtEveryCorner(t *testing.T) {
	roll := Roll{Width: 300, GapX: 24, GapY: 24, EdgeX: 12, EdgeY: 12}
	films := []Size{{100, 80}, {120, 60}, {90, 90}}
	plan, err := Pack(roll, films)
	if err != nil {
		t.Fatal(err)
	}
	empty := func(i int) (Film, error) {
		return &bits{Bitmap: raster.NewBitmap(films[i].Width, films[i].Height)}, nil
	}
	const px = 2
	b := joined(t, plan.NewSheet(0, roll, films, empty, px))
	marks := 0
	for i, p := range plan.Places {
		x0, y0, x1, y1 := lies(films[i], p)
		for _, at := range [][2]int{{x0 - px - 1, y0}, {x0, y0 - px - 1}, {x1 + px, y0}, {x1 - 1, y0 - px - 1},
			{x0 - px - 1, y1 - 1}, {x0, y1 + px}, {x1 + px, y1 - 1}, {x1 - 1, y1 + px}} {
			if !b.At(at[0], at[1]) {
				t.Errorf("film %d: no cut mark at %v", i, at)
			}
		}
		for y := y0; y < y1; y++ {
			marks += raster.CountBits(b.Row(y), x0, x1)
		}
	}
	if marks != 0 {
		t.Errorf("%d pixels of cut marks lie on films", marks)
	}
	if b := joined(t, plan.NewSheet(0, Roll{Width: 300, GapX: 2, GapY: 2}, films, empty, px)); b.Count() != 0 {
		t.Error("marks are drawn where the gap has no room for them")
	}
}

func TestAFilmThatCannotBeReadIsNamed(t *testing.T) {
	films := []Size{{10, 10}}
	plan, _ := Pack(Roll{Width: 20}, films)
	broken := errors.New("the film is torn")
	s := plan.NewSheet(0, Roll{Width: 20}, films, func(int) (Film, error) { return nil, broken }, 0)
	if err := s.Next(make([]uint64, 1)); !errors.Is(err, broken) {
		t.Errorf("%v", err)
	}
}
