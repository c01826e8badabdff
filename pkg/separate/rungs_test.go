package separate

import (
	"image/color"
	"math"
	"reflect"
	"slices"
	"sync"
	"testing"
)

func TestATolerancePicksTheFewestScreensThatMeetIt(t *testing.T) {
	insp := inspected(t, scene(300, 300))
	for _, m := range []Method{SimulatedProcess, Index} {
		req := request(t, "#17181a")
		req.Method, req.MaxScreens, req.Tables = m, 8, NewTables(16)
		all, err := Choose(insp, req)
		if err != nil {
			t.Fatal(err)
		}
		for i := 1; i < len(all.Rungs); i++ {
			req.MaxE00 = all.Rungs[i].MeanE00 + 0.3
			r, err := Choose(insp, req)
			if err != nil {
				t.Fatal(err)
			}
			if r.MeanE00 > req.MaxE00 {
				t.Errorf("%s: %.2f asked, %d screens give %.2f", m, req.MaxE00, len(r.Plates), r.MeanE00)
			}
			if below := r.Rung - 1; below >= 0 && r.At(below).MeanE00 <= req.MaxE00 {
				t.Errorf("%s: %.2f asked, %d screens taken where one less does", m, req.MaxE00, len(r.Plates))
			}
		}
		req.MaxE00 = 0.01
		r, err := Choose(insp, req)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Findings) == 0 || r.Findings[len(r.Findings)-1].Code != "match_missed" || r.Rung != len(r.Rungs)-1 {
			t.Errorf("%s: 0.01 asked: rung %d of %d, findings %v", m, r.Rung, len(r.Rungs), r.Findings)
		}
	}
}

// The figures of rungs not printed are estimates: they must stand near what the rung gives when it is printed.
func TestOtherRungsAreNearWhatTheyGive(t *testing.T) {
	const mean, p95, coverage = 0.07, 0.35, 0.07 // shares of the figure, and of the print
	insp := inspected(t, noisy(400, 400))
	for _, garment := range []string{"#ffffff", "#17181a"} {
		req := request(t, garment)
		req.MaxScreens = 6
		r, err := Choose(insp, req)
		if err != nil {
			t.Fatal(err)
		}
		for i, rung := range r.menu.rungs {
			own := r.At(i)
			if math.Abs(own.MeanE00/rung.MeanE00-1) > mean || math.Abs(own.P95E00/rung.P95E00-1) > p95 {
				t.Errorf("%s, %d screens: %.2f / %.2f estimated, %.2f / %.2f solved", garment, rung.Screens, rung.MeanE00,
					rung.P95E00, own.MeanE00, own.P95E00)
			}
			for k, p := range rung.Plates {
				if p.Ink.ID != own.Plates[k].Ink.ID || math.Abs(p.Coverage-own.Plates[k].Coverage) > coverage {
					t.Errorf("%s, %d screens, plate %d: %s %.3f estimated, %s %.3f solved", garment, rung.Screens, k+1,
						p.Ink.ID, p.Coverage, own.Plates[k].Ink.ID, own.Plates[k].Coverage)
				}
			}
		}
	}
}

func TestAKeptTableGivesTheSameRecipe(t *testing.T) {
	insp := inspected(t, scene(200, 200))
	tables := NewTables(1)
	plain := request(t, "#17181a")
	plain.MaxScreens = 5
	want, err := Choose(insp, plain)
	if err != nil {
		t.Fatal(err)
	}
	kept := plain
	kept.Tables = tables
	other := kept
	other.Ground = hex(t, "#7a1f2b").Lab()
	for _, req := range []Request{kept, kept, other, kept} {
		r, err := Choose(insp, req)
		if err != nil {
			t.Fatal(err)
		}
		if req.Ground == plain.Ground && !reflect.DeepEqual(r.Plates, want.Plates) {
			t.Errorf("plates differ:\n%v\n%v", r.Plates, want.Plates)
		}
		if tables.tables.Len() != 1 {
			t.Errorf("%d tables kept, 1 allowed", tables.tables.Len())
		}
	}
}

// A large field that is a shade too dark must not cost a small one its colour.
func TestARareColourIsWorthMoreThanAShadeOfAFrequentOne(t *testing.T) {
	c := newCanvas(300, 300)
	c.fill(0, 0, 300, 300, color.NRGBA{236, 236, 240, 255})
	c.fill(10, 10, 90, 70, color.NRGBA{200, 40, 50, 255})
	c.fill(110, 10, 150, 70, color.NRGBA{250, 225, 40, 255})
	c.fill(10, 110, 50, 140, color.NRGBA{40, 90, 190, 255})
	req := request(t, "#17181a")
	req.Method, req.MaxScreens = Spot, 4
	r, err := Choose(inspected(t, c.image()), req)
	if err != nil {
		t.Fatal(err)
	}
	got := idsOf(r.Plates)
	for _, want := range []string{"white", "red", "lemon"} {
		if !slices.Contains(got, want) {
			t.Errorf("four screens are %v: no %s", got, want)
		}
	}
}

// A kept recipe is shared by all who ask alike, and each may want another rung of it.
func TestRungsOfAKeptRecipeAreMadeSideBySide(t *testing.T) {
	req := request(t, "#17181a")
	req.Method = Spot
	r, err := Choose(inspected(t, flatDesign(300)), req)
	if err != nil {
		t.Fatal(err)
	}
	want := make([][]Plate, len(r.Rungs))
	for i := range want {
		want[i] = r.At(i).Plates
	}
	var all sync.WaitGroup
	for n := range 64 {
		all.Go(func() {
			if at := n % len(want); !reflect.DeepEqual(r.At(at).Plates, want[at]) {
				t.Errorf("rung %d differs when made beside others", at)
			}
		})
	}
	all.Wait()
}
