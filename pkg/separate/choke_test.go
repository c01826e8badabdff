package separate

import (
	"math"
	"testing"

	"tamis/pkg/raster"
)

// bars is a plane with bars of these widths in pixels, 40 px apart, all of one height.
func bars(widths ...int) *raster.Plane {
	p := raster.NewPlane(60*len(widths)+40, 200)
	for k, w := range widths {
		for y := 30; y < 170; y++ {
			for x := range w {
				p.Pix[y*p.Width+40+60*k+x] = 255
			}
		}
	}
	return p
}

// widthAt is the coverage along a row from x0 to x1, in pixels.
func widthAt(p *raster.Plane, y, x0, x1 int) float64 {
	sum := 0
	for _, v := range p.Row(y)[x0:x1] {
		sum += int(v)
	}
	return float64(sum) / 255
}

func TestChokeKeepsStrokesThinnerThanTheChoke(t *testing.T) {
	const r = 4.0 // px
	widths := []int{24, 12, 8, 6, 4, 3}
	p, _ := held(t.Context(), bars(widths...), r, r)
	for k, w := range widths {
		got := widthAt(p, 100, 20+60*k, 20+60*k+60)
		t.Logf("bar of %d px choked by %g px a side keeps %.2f px", w, r, got)
		switch {
		case float64(w) > 2*r+1 && math.Abs(got-float64(w)+2*r) > 0.1:
			t.Errorf("bar of %d px: %.2f px, want %.2f", w, got, float64(w)-2*r)
		case got < float64(w)/5:
			t.Errorf("bar of %d px has only %.2f px of underbase left", w, got)
		case got > float64(w)+0.01:
			t.Errorf("bar of %d px has an underbase of %.2f px: it peeps out", w, got)
		}
	}
}

func TestUnderbaseStaysBehindItsColourByTheChoke(t *testing.T) {
	c := newCanvas(600, 600) // 0.5 mm a pixel
	c.fill(100, 100, 500, 500, paintRed)
	req := request(t, "#17181a")
	req.ChokeMM = 1.25 // 2.5 px
	r, planes := separated(t, c.image(), req)
	base, top := planes[0], planes[plate(t, r, "red", Color)]
	if r.Plates[0].Role != Underbase {
		t.Fatal("no underbase")
	}
	if got := widthAt(top, 300, 0, 600) - widthAt(base, 300, 0, 600); math.Abs(got-5) > 0.1 {
		t.Errorf("the underbase is %.2f px narrower, want 5.00 (twice 1.25 mm at 0.5 mm a pixel)", got)
	}
}

func TestWhiteThatShowsIsNotChoked(t *testing.T) {
	c := newCanvas(600, 600)
	c.fill(100, 100, 300, 500, paintRed)
	c.fill(350, 100, 550, 500, paintWhite)
	req := request(t, "#17181a")
	req.ChokeMM, req.MaxScreens = 1.25, 2
	r, planes := separated(t, c.image(), req)
	if r.Plates[0].Role != Underbase || len(r.Plates) != 2 {
		t.Fatalf("%d plates", len(r.Plates))
	}
	if got := widthAt(planes[0], 300, 340, 560); math.Abs(got-200) > 0.1 {
		t.Errorf("the white itself is %.2f px wide, drawn 200", got)
	}
}

func TestTrapLetsTheLighterReachUnderTheDarkerOnly(t *testing.T) {
	c := newCanvas(600, 600)
	c.fill(100, 100, 300, 500, paintGold)
	c.fill(300, 100, 500, 500, paintNavy)
	req := request(t, "#ffffff")
	req.TrapMM = 1 // 2 px
	r, planes := separated(t, c.image(), req)
	light, dark := planes[0], planes[len(planes)-1]
	if r.Plates[0].Ink.OverWhite.L < r.Plates[len(planes)-1].Ink.OverWhite.L {
		t.Fatal("the darker plate comes first")
	}
	if got := widthAt(light, 300, 0, 600); math.Abs(got-202) > 0.1 {
		t.Errorf("the lighter is %.2f px wide, want 202: 2 px under the darker, nothing to the garment", got)
	}
	if got := widthAt(dark, 300, 0, 600); math.Abs(got-200) > 0.1 {
		t.Errorf("the darker is %.2f px wide, drawn 200", got)
	}
}

func TestALineOfHalfAMillimetreKeepsItsUnderbaseAndItIsSaidWhere(t *testing.T) {
	c := newCanvas(1200, 1200) // 0.05 mm a pixel
	c.fill(100, 100, 700, 1100, paintRed)
	c.fill(800, 200, 810, 1000, paintRed) // 0.5 mm
	req := request(t, "#17181a")
	req.PrintWidthMM, req.PrintHeightMM = 60, 60
	r, err := Choose(inspected(t, c.image()), req)
	if err != nil {
		t.Fatal(err)
	}
	s, err := r.Separate(t.Context(), c.image(), nil)
	if err != nil {
		t.Fatal(err)
	}
	base := s.Planes[0]
	if got := widthAt(base, 600, 100, 700); math.Abs(got-588) > 0.1 {
		t.Errorf("the patch's underbase is %.2f px wide, want 588: 600 less 2 x 0.3 mm", got)
	}
	if got := widthAt(base, 600, 780, 830); got < 5 || got > 9 {
		t.Errorf("the line's underbase is %.2f px wide; of 10 half should stay, and not all", got)
	}
	if len(s.Findings) != 1 || s.Findings[0].Code != "underbase_narrows" {
		t.Fatalf("findings %v", s.Findings)
	}
	if b := s.Findings[0].Box; b[0] < 795 || b[0] > 805 || b[2] < 805 || b[2] > 815 || b[1] < 190 || b[3] > 1010 {
		t.Errorf("the finding's box is %v, the line's [800 200 810 1000]", b)
	}
}

func TestCornersAreNoStrokes(t *testing.T) {
	for _, size := range []int{300, 1200} {
		c := newCanvas(size, size)
		c.fill(size/6, size/6, size/2, size*5/6, paintRed)
		req := request(t, "#17181a")
		req.PrintWidthMM, req.PrintHeightMM, req.ChokeMM = 30, 30, 0.5
		r, err := Choose(inspected(t, c.image()), req)
		if err != nil {
			t.Fatal(err)
		}
		s, err := r.Separate(t.Context(), c.image(), nil)
		if err != nil || len(s.Findings) != 0 {
			t.Errorf("a rectangle of %d px: %v, findings %v", size/3, err, s.Findings)
		}
	}
}

func TestHairlinesKeepTheirUnderbase(t *testing.T) {
	c := newCanvas(600, 600)
	c.fill(100, 100, 300, 500, paintRed)
	half := paintRed
	half.A = 120
	c.fill(400, 100, 402, 500, half) // a line of one pixel that lies between two
	_, planes := separated(t, c.image(), request(t, "#17181a"))
	if got := widthAt(planes[0], 300, 380, 420); math.Abs(got-0.94) > 0.05 {
		t.Errorf("the hairline's underbase covers %.2f px, its colour 0.94", got)
	}
}

func TestNothingReachesUnderTheHighlight(t *testing.T) {
	c := newCanvas(600, 600)
	c.fill(100, 100, 400, 500, paintWhite)
	c.fill(400, 100, 500, 500, paintNavy)
	c.fill(100, 500, 500, 540, paintGold)
	req := request(t, "#17181a")
	req.TrapMM, req.ChokeMM = 1, 0
	r, err := Choose(inspected(t, c.image()), req)
	if err != nil {
		t.Fatal(err)
	}
	last := len(r.Plates) - 1
	if r.Plates[last].Role != Highlight {
		t.Fatalf("the last plate is %s as %s", r.Plates[last].Ink.ID, r.Plates[last].Role)
	}
	s, err := r.Separate(t.Context(), c.image(), nil)
	if err != nil {
		t.Fatal(err)
	}
	for k, p := range r.Plates[:last] {
		if p.Role != Underbase && widthAt(s.Planes[k], 300, 100, 400) != 0 {
			t.Errorf("%s reaches %.1f px under the white", p.Ink.ID, widthAt(s.Planes[k], 300, 100, 400))
		}
		if s.Shapes[k].Under&s.Shapes[last].Own != 0 && p.Role != Underbase {
			t.Errorf("%s's film may reach under the white", p.Ink.ID)
		}
	}
}
