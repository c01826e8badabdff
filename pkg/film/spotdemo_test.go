package film

import (
	"math"
	"os"
	"slices"
	"testing"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/ink"
	"tamis/pkg/raster"
	"tamis/pkg/separate"
)

// demo opens one of the project's demo pictures.
func demo(t testing.TB, name string) *artwork.Image {
	t.Helper()
	data, err := os.ReadFile("../../testdata/art/" + name)
	if err != nil {
		t.Fatal(err)
	}
	img, err := artwork.Decode(t.Context(), data, artwork.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func TestDemoDesignsHaveExactlyTheirInksAsPaletteAndOneInkAPixel(t *testing.T) {
	rows := []struct {
		file    string
		garment string
		palette []string // from testdata/README.md
	}{
		{"orchard-fair.png", "#7a8288", []string{"#1f3a5f", "#3f7d3a", "#c8322b", "#e8a92c", "#f4e7c5"}},
		{"bee-stencil.png", "#f0f0f0", []string{"#000000"}},
	}
	for _, row := range rows {
		img := demo(t, row.file)
		insp, err := artwork.Inspect(t.Context(), img)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, p := range insp.Digest.Palette(0) {
			got = append(got, p.Color.Hex())
		}
		if slices.Sort(got); !slices.Equal(got, row.palette) {
			t.Errorf("%s: palette %v, drawn in %v", row.file, got, row.palette)
		}
		j := cutJob{ppi: 299, xDPI: 400, yDPI: 300, garment: row.garment, chokeMM: 0.2, inks: inksLike(t, row.palette)}
		r, bits := j.films(t, img)
		base := slices.IndexFunc(r.Plates, func(p separate.Plate) bool { return p.Role == separate.Underbase })
		if n := len(r.Plates); n != len(row.palette)+min(base+1, 1) {
			t.Errorf("%s: %d plates, underbase %d", row.file, n, base)
		}
		if c := inkCounts(bits, base); c[2] != 0 {
			t.Errorf("%s: %d device pixels have two colour inks", row.file, c[2])
		}
		if n := bareWithin(img, bits, base); n != 0 {
			t.Errorf("%s: %d device pixels amid opaque art have no ink", row.file, n)
		}
	}
}

// inksLike are invented inks of these colours, and a white.
func inksLike(t testing.TB, hexes []string) (list []ink.Ink) {
	t.Helper()
	for _, h := range append([]string{"#fafafa"}, hexes...) {
		c, err := color.ParseHex(h)
		if err != nil {
			t.Fatal(err)
		}
		over := c.Lab()
		dim := over
		dim.L *= 0.85
		if h == "#fafafa" {
			h, dim.L = "white", over.L*0.94
		}
		list = append(list, ink.Ink{ID: h, Name: h, Kind: ink.Plastisol, OverWhite: over, OverBlack: dim})
	}
	return list
}

// bareWithin counts device pixels without colour ink whose source pixel and all eight about it are opaque.
func bareWithin(img *artwork.Image, bits []*raster.Bitmap, base int) (n int) {
	opaque := func(x, y int) bool {
		for v := max(y-1, 0); v <= min(y+1, img.Height-1); v++ {
			for u := max(x-1, 0); u <= min(x+1, img.Width-1); u++ {
				if img.Pix[4*(v*img.Width+u)+3] != 255 {
					return false
				}
			}
		}
		return true
	}
	b := bits[0]
	for y := range b.Height {
		for x := range b.Width {
			inked := slices.ContainsFunc(bits, func(p *raster.Bitmap) bool { return p.At(x, y) && (base < 0 || p != bits[base]) })
			u := math.Floor((float64(x) + .5) / float64(b.Width) * float64(img.Width))
			v := math.Floor((float64(y) + .5) / float64(b.Height) * float64(img.Height))
			if !inked && opaque(int(u), int(v)) {
				n++
			}
		}
	}
	return n
}

// BenchmarkSpotFilm makes the films of the orchard fair, 280 mm wide at 1440 dpi, each plate cut on its own contour and
// all cut jointly, trapped.
func BenchmarkSpotFilm(b *testing.B) {
	img := demo(b, "orchard-fair.png")
	insp, err := artwork.Inspect(b.Context(), img)
	if err != nil {
		b.Fatal(err)
	}
	ground, _ := color.ParseHex("#17181a")
	w, h := 280.0, 280.0*float64(img.Height)/float64(img.Width)
	r, err := separate.Choose(insp, separate.Request{Method: separate.Spot, Ground: ground.Lab(), ChokeMM: 0.3, TrapMM: 0.15,
		Inks:         inksLike(b, []string{"#1f3a5f", "#3f7d3a", "#c8322b", "#e8a92c", "#f4e7c5"}),
		PrintWidthMM: w, PrintHeightMM: h})
	if err != nil {
		b.Fatal(err)
	}
	s, err := r.Separate(b.Context(), img, nil)
	if err != nil {
		b.Fatal(err)
	}
	l, err := NewLayout(Spec{PrintWidthMM: w, PrintHeightMM: h, Plates: len(r.Plates),
		Device: Device{XDPI: 1440, YDPI: 1440, WidthMM: 610}})
	if err != nil {
		b.Fatal(err)
	}
	for _, joint := range []bool{false, true} {
		b.Run(map[bool]string{false: "alone", true: "joint"}[joint], func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				for k := range r.Plates {
					p := Plate{N: k + 1, Of: len(r.Plates), InkName: "Bench", Plane: s.Planes[k]}
					if joint {
						p.Shape = s.Shapes[k]
					}
					if _, err := l.Write(b.Context(), p, new(sink), nil); err != nil {
						b.Fatal(err)
					}
				}
			}
			b.ReportMetric(b.Elapsed().Seconds()*1e3/float64(b.N)/float64(len(r.Plates)), "ms/plate")
		})
	}
}
