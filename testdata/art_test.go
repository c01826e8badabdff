package testdata_test

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io/fs"
	"os"
	"regexp"
	"strings"
	"testing"

	"tamis/testdata"
	"tamis/testdata/demo/draw"
)

func Example() {
	names, err := fs.Glob(testdata.Art, "art/*.png")
	if err != nil {
		fmt.Println(err)
	}
	fmt.Println(names)
	// Output:
	// [art/bee-stencil.png art/lantern-night.png art/orchard-fair.png]
}

// open decodes a committed picture.
func open(t *testing.T, name string) *image.NRGBA {
	t.Helper()
	f, err := testdata.Art.Open("art/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	decoded, err := png.Decode(f)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	straight, ok := decoded.(*image.NRGBA)
	if !ok {
		t.Fatalf("%s decodes as %T, want straight 8-bit RGBA", name, decoded)
	}
	return straight
}

func TestTheReadmeListsEveryPictureWithItsSize(t *testing.T) {
	readme, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	row := regexp.MustCompile("(?m)^\\| `art/([a-z-]+\\.png)` \\| ([0-9]+ x [0-9]+) \\|")
	listed := map[string]string{}
	for _, r := range row.FindAllStringSubmatch(string(readme), -1) {
		listed[r[1]] = r[2]
	}
	names, err := fs.Glob(testdata.Art, "art/*.png")
	if err != nil || len(names) != len(draw.Pieces()) || len(listed) != len(names) {
		t.Fatalf("%d pictures, %d in the README, %d drawn (%v)", len(names), len(listed), len(draw.Pieces()), err)
	}
	for _, name := range names {
		name = strings.TrimPrefix(name, "art/")
		size := open(t, name).Bounds().Size()
		if got := fmt.Sprintf("%d x %d", size.X, size.Y); got != listed[name] {
			t.Errorf("%s is %s px, the README says %q", name, got, listed[name])
		}
	}
}

// TestTheCommittedPicturesAreWhatTheGeneratorDraws compares pixels, not files: deflate may change
// with a Go release.
// A byte may be off by one in one pixel of 10 000: math.Exp and its kin round differently from processor to processor.
func TestTheCommittedPicturesAreWhatTheGeneratorDraws(t *testing.T) {
	for _, p := range draw.Pieces() {
		drawn, committed := p.Draw(), open(t, p.File)
		if drawn.Rect != committed.Rect {
			t.Fatalf("%s is drawn %v, committed %v", p.File, drawn.Rect, committed.Rect)
		}
		off := 0
		for i, v := range drawn.Pix {
			if d := int(v) - int(committed.Pix[i]); d > 1 || d < -1 {
				t.Fatalf("%s: byte %d is drawn %d, committed %d, want within 1; run go run ./testdata/demo",
					p.File, i, v, committed.Pix[i])
			} else if d != 0 {
				off++
			}
		}
		if limit := len(drawn.Pix) / 40000; off > limit {
			t.Errorf("%s: %d bytes differ by one, want %d at most; run go run ./testdata/demo", p.File, off, limit)
		}
	}
}

func TestTheOrchardFairIsFiveFlatInks(t *testing.T) {
	picture := open(t, "orchard-fair.png")
	inks := map[color.NRGBA]int{
		{0xf4, 0xe7, 0xc5, 255}: 0, {0xc8, 0x32, 0x2b, 255}: 0, {0x3f, 0x7d, 0x3a, 255}: 0,
		{0xe8, 0xa9, 0x2c, 255}: 0, {0x1f, 0x3a, 0x5f, 255}: 0,
	}
	solid, flat := 0, 0
	for y := range picture.Rect.Dy() {
		for x := range picture.Rect.Dx() {
			c := picture.NRGBAAt(x, y)
			if c.A != 255 {
				continue
			}
			solid++
			if _, known := inks[c]; known {
				inks[c]++
				flat++
			} else if even(picture, x, y) {
				t.Fatalf("around %d,%d lies an even patch of %v, which is none of the five inks", x, y, c)
			}
		}
	}
	// Only edges are mixed: one pixel wide, along every contour and both sides of every fine line.
	if share := float64(flat) / float64(solid); share < 0.93 {
		t.Errorf("%.2f %% of the solid area is one of the five inks, want 93 or more", 100*share)
	}
	for ink, n := range inks {
		if n < solid/50 {
			t.Errorf("ink %v covers %d of %d solid pixels, want 2 %% or more", ink, n, solid)
		}
	}
}

func TestTheBeeIsOneInk(t *testing.T) {
	picture := open(t, "bee-stencil.png")
	edge, full := 0, 0
	for i := 0; i < len(picture.Pix); i += 4 {
		if px := picture.Pix[i : i+4]; px[0]|px[1]|px[2] != 0 {
			t.Fatalf("pixel %d is %v, want black of any alpha", i/4, px)
		}
		switch picture.Pix[i+3] {
		case 0:
		case 255:
			full++
		default:
			edge++
		}
	}
	if full < 20*edge/3 || edge == 0 {
		t.Errorf("%d full pixels and %d on edges: want flat areas with anti-aliased edges", full, edge)
	}
}

func TestTheLanternsFadeOutBeforeTheBorder(t *testing.T) {
	picture := open(t, "lantern-night.png")
	var tones [256]int
	for y := range picture.Rect.Dy() {
		for x := range picture.Rect.Dx() {
			a := picture.NRGBAAt(x, y).A
			tones[a]++
			if border := x == 0 || y == 0 || x == picture.Rect.Dx()-1 || y == picture.Rect.Dy()-1; border && a != 0 {
				t.Fatalf("the border has alpha %d at %d,%d, want 0: a hard edge would print", a, x, y)
			}
		}
	}
	for a, n := range tones {
		if n == 0 {
			t.Errorf("no pixel has alpha %d: the edge is to be soft", a)
		}
	}
}

// even says whether the 3 x 3 pixels around x, y are all alike; never so at the border.
func even(picture *image.NRGBA, x, y int) bool {
	if !image.Pt(x, y).In(picture.Rect.Inset(1)) {
		return false
	}
	for k := range 9 {
		if picture.NRGBAAt(x+k%3-1, y+k/3-1) != picture.NRGBAAt(x, y) {
			return false
		}
	}
	return true
}
