package press_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"tamis/pkg/fabric"
	"tamis/pkg/press"
)

func Example() {
	flashes := press.Flashes([]press.Pass{{fabric.Underbase, 0.4}, {fabric.Colour, 0.2}, {fabric.Black, 0.1}})
	fmt.Println(flashes, press.StationsNeeded(flashes))
	// Output: [true false false] 4
}

// TestInkGramsGiveTheWorkedRows uses values worked by a separate script, 1e-4 g.
func TestInkGramsGiveTheWorkedRows(t *testing.T) {
	for _, r := range []struct{ coverage, w, h, v, transfer, density, want float64 }{
		{1, 300, 400, 24, 1, 1.2, 3.4560}, {.31, 300, 360, 24, .7, 1.25, 0.7031}, {.5, 250, 250, 58, .6, 1.4, 1.5225},
		{1, 100, 100, 16, .5, 1.1, 0.0880}, {.2, 280, 350, 19, .75, 1.05, 0.2933},
	} {
		if got := press.InkGrams(r.coverage, r.w*r.h, r.v, r.transfer, r.density); math.Abs(got-r.want) > 1e-4 {
			t.Errorf("%+v: %.5f g", r, got)
		}
	}
}

func TestFlashFollowsUnderbaseAndPrecedesHighlight(t *testing.T) {
	got := press.Flashes([]press.Pass{{fabric.Underbase, 0.1}, {fabric.Colour, 0.1}, {fabric.Colour, 0.7},
		{fabric.Black, 0.1}, {fabric.Highlight, 0.05}})
	if want := []bool{true, false, true, true, false}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if press.Flashes(nil) == nil || len(press.Flashes([]press.Pass{{fabric.Underbase, 1}})) != 1 {
		t.Error("no pass, no flash; a single pass goes to the dryer")
	}
}

func TestRunsHoldEveryScreenOnTheStationsThereAre(t *testing.T) {
	for _, r := range []struct {
		flashes  string // a screen each; f: flashed after it
		stations int
		want     []int // by hand
	}{
		{"f----", 6, []int{5}}, {"f-----", 6, []int{5, 1}}, {"f---f-", 6, []int{5, 1}}, {"f--f--", 6, []int{4, 2}},
		{"fff-", 3, []int{2, 2}}, {"fff-", 1, []int{1, 1, 1, 1}}, {"-", 0, []int{1}}, {"", 6, nil},
	} {
		flashes := make([]bool, len(r.flashes))
		for i := range flashes {
			flashes[i] = r.flashes[i] == 'f'
		}
		got, most := press.Runs(flashes, r.stations), (press.StationsNeeded(flashes)+r.stations)/max(1, r.stations)
		if !slices.Equal(got, r.want) || len(got) > most {
			t.Errorf("%q on %d stations: runs of %v screens, want %v", r.flashes, r.stations, got, r.want)
		}
	}
}

func TestHalftonesGetHarderRubber(t *testing.T) {
	if press.SqueegeeFor(fabric.Colour, true).HardnessShoreA <= press.SqueegeeFor(fabric.Underbase, false).HardnessShoreA {
		t.Error("a halftone wants harder rubber than a line underbase")
	}
}
