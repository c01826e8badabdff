package separate

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"testing"

	"tamis/pkg/artwork"
	"tamis/pkg/fault"
	"tamis/pkg/ink"
	"tamis/pkg/raster"
)

// flatDesign is a disc in a ring on nothing, with a bar across: three colours, every border anti-aliased.
func flatDesign(size int) *artwork.Image {
	c, s := newCanvas(size, size), float64(size)
	c.disc(s/2, s/2, 0.45*s, paintNavy)
	c.disc(s/2, s/2, 0.40*s, paintRed)
	c.disc(s/2, s/2, 0.15*s, paintGold)
	c.fill(size/4, size/2-2, size*3/4, size/2+3, paintWhite)
	return c.image()
}

func separated(t testing.TB, img *artwork.Image, req Request) (*Recipe, []*raster.Plane) {
	t.Helper()
	r, err := Choose(inspected(t, img), req)
	if err != nil {
		t.Fatal(err)
	}
	planes, err := r.Apply(context.Background(), img, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(planes) != len(r.Plates) {
		t.Fatalf("%d planes for %d plates", len(planes), len(r.Plates))
	}
	return r, planes
}

// plate finds a plate by ink and role.
func plate(t testing.TB, r *Recipe, id string, role Role) int {
	t.Helper()
	for i, p := range r.Plates {
		if p.Ink.ID == id && p.Role == role {
			return i
		}
	}
	t.Fatalf("no plate %s as %s among %d", id, role, len(r.Plates))
	return -1
}

func TestFlatArtOnADarkGarmentIsSpotWithAnUnderbase(t *testing.T) {
	img := flatDesign(600)
	r, planes := separated(t, img, request(t, "#17181a"))
	if r.Method != Spot {
		t.Fatalf("method %s", r.Method)
	}
	if r.Plates[0].Role != Underbase {
		t.Errorf("the first plate is %s as %s", r.Plates[0].Ink.ID, r.Plates[0].Role)
	}
	for i, p := range r.Plates {
		if got := planes[i].Mean(); math.Abs(got-p.Coverage) > 0.012 {
			t.Errorf("%s %s: predicted %.4f, plane %.4f", p.Ink.ID, p.Role, p.Coverage, got)
		}
		if p.Rendering != Line || p.Nearest {
			t.Errorf("%s is rendered %s", p.Ink.ID, p.Rendering)
		}
	}
}

func TestPaletteIsExactAndEdgesBecomeNoColours(t *testing.T) {
	insp := inspected(t, flatDesign(600))
	want := map[string]bool{"#c81e28": true, "#182050": true, "#fab91e": true, "#ffffff": true}
	got := insp.Digest.Palette(leastPalette)
	if len(got) != len(want) {
		t.Errorf("%d colours, the design has %d: %v", len(got), len(want), got)
	}
	for _, p := range got {
		if !want[p.Color.Hex()] {
			t.Errorf("%s is no colour of the design", p.Color.Hex())
		}
	}
}

func TestNeighboursOfOneEdgeSumToFullCoverage(t *testing.T) {
	img := flatDesign(600)
	req := request(t, "#ffffff")
	req.Underbase, req.TrapMM = UnderbaseOff, 0
	r, planes := separated(t, img, req)
	for y := range img.Height {
		for x := range img.Width {
			i := y*img.Width + x
			u, v := float64(x)+.5-300, float64(y)+.5-300
			if d := math.Hypot(u, v); img.Pix[4*i+3] != 255 || d > 260 || math.Abs(v) < 6 {
				continue // outside, or on the bare white bar
			}
			sum := 0
			for k := range r.Plates {
				sum += int(planes[k].Pix[i])
			}
			if sum != 255 {
				t.Fatalf("at %d, %d coverages sum to %d", x, y, sum)
			}
		}
	}
}

// radiusErrors measures, along every row and column, where a disc's plane crosses half coverage, against the circle.
func radiusErrors(p *raster.Plane, cx, cy, r float64) (worst, mean float64) {
	n := 0
	for y := range p.Height {
		dy := float64(y) + 0.5 - cy
		if math.Abs(dy) > 0.7*r { // steep crossings only: columns cover the rest of a symmetric disc
			continue
		}
		want := cx + math.Sqrt(r*r-dy*dy)
		row := p.Row(y)
		for x := int(want) - 3; x < int(want)+3; x++ {
			a, b := float64(row[x]), float64(row[x+1])
			if a >= 127.5 && b < 127.5 {
				at := float64(x) + 0.5 + (a-127.5)/(a-b)
				e := math.Abs(at-want) * math.Sqrt(1-dy*dy/r/r) // distance, not horizontal offset
				worst, mean, n = max(worst, e), mean+e, n+1
			}
		}
	}
	return worst, mean / float64(n)
}

func TestHalfCoverageOfACutDiscIsTheTrueCircle(t *testing.T) {
	c := newCanvas(400, 400)
	c.fill(0, 0, 400, 400, paintGold)
	c.disc(200.3, 199.6, 120, paintRed)
	req := request(t, "#ffffff")
	req.Underbase = UnderbaseOff
	r, planes := separated(t, c.image(), req)
	worst, mean := radiusErrors(planes[plate(t, r, "red", Color)], 200.3, 199.6, 120)
	t.Logf("worst %.3f px, mean %.3f px", worst, mean)
	if worst > 0.2 || mean > 0.06 {
		t.Errorf("worst %.3f px (limit 0.2), mean %.3f px (limit 0.06)", worst, mean)
	}
}

func TestGarmentColourPrintsNothing(t *testing.T) {
	c := newCanvas(300, 300)
	c.fill(0, 0, 300, 300, paintBlack)
	c.disc(150, 150, 100, paintRed)
	r, planes := separated(t, c.image(), request(t, "#101010"))
	for i, p := range r.Plates {
		if p.Role == Black || planes[i].Row(5)[5] != 0 {
			t.Errorf("%s as %s prints on the garment's own colour", p.Ink.ID, p.Role)
		}
	}
}

func TestTwoColoursOfOneInkShareAPlate(t *testing.T) {
	c := newCanvas(300, 300)
	c.fill(20, 20, 140, 280, paintRed)
	near := paintRed
	near.R, near.G = 175, 25
	c.fill(160, 20, 280, 280, near)
	req := request(t, "#ffffff")
	req.Inks = req.Inks[:3] // white, black, red
	r, planes := separated(t, c.image(), req)
	if len(r.Plates) != 1 || math.Abs(planes[0].Mean()-float64(120*260*2)/90000) > 1e-3 {
		t.Errorf("%d plates, mean %.4f", len(r.Plates), planes[0].Mean())
	}
}

func TestAFarInkIsSaid(t *testing.T) {
	c := newCanvas(200, 200)
	c.fill(20, 20, 180, 180, paintNavy)
	req := request(t, "#ffffff")
	req.Inks = req.Inks[2:3] // red only
	r, _ := separated(t, c.image(), req)
	if len(r.Findings) != 1 || r.Findings[0].Code != "ink_far_off" {
		t.Errorf("findings %v", r.Findings)
	}
}

func TestAColourLeftToTheGarmentIsSaid(t *testing.T) {
	c := newCanvas(200, 200)
	c.fill(20, 20, 100, 180, paintRed)
	near := paintNavy
	c.fill(100, 20, 180, 180, near)
	near.R, near.G = near.R+6, near.G+6 // the garment is a little lighter than the art's navy
	r, _ := separated(t, c.image(), request(t, fmt.Sprintf("#%02x%02x%02x", near.R, near.G, near.B)))
	for _, f := range r.Findings {
		if f.Code == "prints_as_garment" {
			return
		}
	}
	t.Errorf("%d plates, findings %v", len(r.Plates), r.Findings)
}

func TestAShorterLadderIsNeverBetterAndMaxScreensIsKept(t *testing.T) {
	for _, img := range []*artwork.Image{flatDesign(400), scene(400, 400)} {
		insp := inspected(t, img)
		for _, garment := range []string{"#ffffff", "#17181a"} {
			for _, n := range []int{1, 3, 4} {
				req := request(t, garment)
				req.MaxScreens = n
				r, err := Choose(insp, req)
				if err != nil {
					t.Fatal(err)
				}
				if len(r.Plates) > n {
					t.Errorf("%s: %d plates for at most %d", garment, len(r.Plates), n)
				}
				for i := 1; i < len(r.Rungs); i++ {
					if r.Rungs[i].MeanE00 > r.Rungs[i-1].MeanE00 || r.Rungs[i].Screens <= r.Rungs[i-1].Screens {
						t.Errorf("%s: rung %v after %v", garment, r.Rungs[i], r.Rungs[i-1])
					}
				}
			}
		}
	}
}

func TestTheSameArtworkGivesTheSamePlanesOnAnyNumberOfCores(t *testing.T) {
	for _, m := range []Method{Spot, SimulatedProcess, Index} {
		img := scene(160, 140)
		if m == Spot {
			img = flatDesign(300)
		}
		req := request(t, "#17181a")
		req.Method, req.TrapMM, req.MaxScreens = m, 0.3, 5
		_, many := separated(t, img, req)
		cores := runtime.GOMAXPROCS(1)
		_, one := separated(t, img, req)
		runtime.GOMAXPROCS(cores)
		for k := range many {
			if string(many[k].Pix) != string(one[k].Pix) {
				t.Errorf("%s: plane %d depends on the number of cores", m, k)
			}
		}
	}
}

func TestRequestsThatCannotBeAreFaultsOfTheirField(t *testing.T) {
	insp := inspected(t, flatDesign(200))
	rows := []struct {
		change func(r *Request)
		code   string
	}{
		{func(r *Request) { r.Method = "engraving" }, "method_unknown"},
		{func(r *Request) { r.Underbase = "perhaps" }, "underbase_unknown"},
		{func(r *Request) { r.Inks = nil }, "inks_missing"},
		{func(r *Request) { r.MaxScreens = -1 }, "max_screens_range"},
		{func(r *Request) { r.Method, r.Inks = Process, r.Inks[:5] }, "process_inks_missing"},
		{func(r *Request) { r.Method, r.MaxScreens = Process, 2 }, "max_screens_range"},
		{func(r *Request) { r.Method, r.PrintWidthMM = Index, 0 }, "print_size_missing"},
	}
	for _, row := range rows {
		req := request(t, "#ffffff")
		row.change(&req)
		_, err := Choose(insp, req)
		if f := fault.Of(err); err == nil || f.Kind != fault.Invalid || f.Code != row.code || f.Field == "" {
			t.Errorf("%s: %v", row.code, err)
		}
	}
}

func TestEmptyArtworkIsAFault(t *testing.T) {
	_, err := Choose(inspected(t, newCanvas(50, 50).image()), request(t, "#ffffff"))
	if !fault.Is(err, fault.Invalid) {
		t.Errorf("transparent artwork: %v", err)
	}
}

func TestACancelledContextStopsApply(t *testing.T) {
	img := flatDesign(200)
	r, err := Choose(inspected(t, img), request(t, "#ffffff"))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := r.Apply(ctx, img, nil); !fault.Is(err, fault.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func TestArtOfTheGarmentsColourIsPrintedInTheOneInkNamedOrIsAFault(t *testing.T) {
	c := newCanvas(200, 200)
	c.fill(50, 50, 150, 150, paintBlack)
	insp := inspected(t, c.image())
	req := request(t, "#101010")
	if _, err := Choose(insp, req); !fault.Is(err, fault.Invalid) {
		t.Errorf("with the whole shop: %v", err)
	}
	for _, id := range []string{"white", "red"} {
		req.Inks = []ink.Ink{inkNamed(t, id)}
		r, planes := separated(t, c.image(), req)
		if len(r.Plates) != 1 || r.Plates[0].Ink.ID != id || math.Abs(planes[0].Mean()-0.25) > 1e-3 {
			t.Errorf("%s: %d plates, mean %.3f", id, len(r.Plates), planes[0].Mean())
		}
	}
}

func TestHairlinesKeepTheirColour(t *testing.T) {
	c := newCanvas(600, 600)
	c.fill(50, 50, 550, 550, paintNavy)
	for x := 100; x < 500; x += 40 {
		c.fill(x, 100, x+2, 500, paintGold) // two pixels wide: no pixel whose neighbours are all its own colour
	}
	r, planes := separated(t, c.image(), request(t, "#ffffff"))
	gold := planes[plate(t, r, "golden", Color)]
	if got := widthAt(gold, 300, 0, 600); math.Abs(got-20) > 0.2 {
		t.Errorf("ten hairlines of 2 px print %.2f px of gold", got)
	}
}
