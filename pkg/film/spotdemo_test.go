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
func demo(t *testing.T, name string) *artwork.Image {
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
		j := cutJob{ppi: 299, xDPI: 720, yDPI: 360, garment: row.garment, chokeMM: 0.2, inks: inksLike(t, row.palette)}
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
func inksLike(t *testing.T, hexes []string) (list []ink.Ink) {
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
