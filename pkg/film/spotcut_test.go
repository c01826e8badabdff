package film

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/halftone"
	"tamis/pkg/ink"
	"tamis/pkg/raster"
	"tamis/pkg/separate"
)

// paint is a straight colour of test artwork; the zero one is transparent.
type paint [4]uint8

var (
	bareNone = paint{}
	redArt   = paint{200, 30, 40, 255}
	goldArt  = paint{250, 185, 30, 255}
	navyArt  = paint{24, 32, 80, 255}
)

// cutInks are three invented inks that show those colours, and a white.
func cutInks() []ink.Ink {
	lab := func(p paint) color.Lab { return color.RGB8{R: p[0], G: p[1], B: p[2]}.Lab() }
	var list []ink.Ink
	for _, row := range []struct {
		id string
		p  paint
	}{{"red", redArt}, {"gold", goldArt}, {"navy", navyArt}, {"white", paint{250, 250, 250, 255}}} {
		over := lab(row.p)
		dim := over
		dim.L *= 0.8
		if row.id == "white" {
			dim.L = over.L * 0.94
		}
		list = append(list, ink.Ink{ID: row.id, Name: row.id, Kind: ink.Plastisol, OverWhite: over, OverBlack: dim})
	}
	return list
}

// drawn is artwork whose pixels mix the colours that at gives, over 24 x 24 places a pixel, in codes weighted by
// alpha: the exact area coverage of programs that blend without linearising, to 1/576.
func drawn(width, height int, at func(x, y float64) paint) *artwork.Image {
	img := &artwork.Image{Width: width, Height: height, HasAlpha: true, Pix: make([]uint8, 4*width*height)}
	const n = 24
	for y := range height {
		for x := range width {
			var sum [4]int
			first := at(float64(x)+.02, float64(y)+.02)
			if first == at(float64(x)+.98, float64(y)+.98) && first == at(float64(x)+.98, float64(y)+.02) &&
				first == at(float64(x)+.02, float64(y)+.98) && first == at(float64(x)+.5, float64(y)+.5) {
				copy(img.Pix[4*(y*width+x):], first[:])
				continue
			}
			for s := range n * n {
				p := at(float64(x)+(float64(s%n)+.5)/n, float64(y)+(float64(s/n)+.5)/n)
				a := int(p[3])
				sum[3] += a
				for c := range 3 {
					sum[c] += int(p[c]) * a
				}
			}
			if sum[3] == 0 {
				continue
			}
			for c := range 3 {
				img.Pix[4*(y*width+x)+c] = uint8((sum[c] + sum[3]/2) / sum[3])
			}
			img.Pix[4*(y*width+x)+3] = uint8((sum[3] + n*n/2) / (n * n))
		}
	}
	return img
}

// cutJob is artwork on its way to film bits.
type cutJob struct {
	ppi, xDPI, yDPI float64
	chokeMM, trapMM float64
	garment         string
	underbase       separate.UnderbaseMode
	screen          *halftone.Spec // for plates with gradients
	inks            []ink.Ink      // nil: cutInks
}

// films separates artwork as spot and gives the bits of the print box, a plate each, without margins or marks.
func (j cutJob) films(t testing.TB, img *artwork.Image) (*separate.Recipe, []*raster.Bitmap) {
	t.Helper()
	ground, err := color.ParseHex(j.garment)
	if err != nil {
		t.Fatal(err)
	}
	insp, err := artwork.Inspect(t.Context(), img)
	if err != nil {
		t.Fatal(err)
	}
	if j.inks == nil {
		j.inks = cutInks()
	}
	w, h := float64(img.Width)/j.ppi*25.4, float64(img.Height)/j.ppi*25.4
	r, err := separate.Choose(insp, separate.Request{Method: separate.Spot, Inks: j.inks, Ground: ground.Lab(),
		Underbase: j.underbase, ChokeMM: j.chokeMM, TrapMM: j.trapMM, PrintWidthMM: w, PrintHeightMM: h})
	if err != nil {
		t.Fatal(err)
	}
	s, err := r.Separate(t.Context(), img, nil)
	if err != nil {
		t.Fatal(err)
	}
	l := mustLay(t, Spec{PrintWidthMM: w, PrintHeightMM: h, Plates: len(r.Plates),
		Device: Device{XDPI: j.xDPI, YDPI: j.yDPI, WidthMM: w + 1}})
	var list []*raster.Bitmap
	for k := range r.Plates {
		p := Plate{N: k + 1, Of: len(r.Plates), Plane: s.Planes[k], Shape: s.Shapes[k]}
		if j.screen != nil && r.Plates[k].Rendering == separate.Halftone {
			p.Screen = mustScreen(t, l, *j.screen)
		}
		if err := p.check(l); err != nil {
			t.Fatal(err)
		}
		list = append(list, cutBits(l, p))
	}
	return r, list
}

// cutBits are the print's bits without page and marks.
func cutBits(l *Layout, p Plate) *raster.Bitmap {
	g := newPainting(l, p)
	b := raster.NewBitmap(l.box[2]-l.box[0], l.box[3]-l.box[1])
	pen, row := g.painter(p), make([]uint64, g.words)
	for y := range b.Height {
		clear(row)
		pen.paint(row, y+l.box[1])
		for x := range b.Width {
			at := l.box[0] - g.first*64 + x
			b.Set(x, y, row[at>>6]>>(at&63)&1 != 0)
		}
	}
	return b
}

func plateOf(t testing.TB, r *separate.Recipe, id string, role separate.Role) int {
	t.Helper()
	for k, p := range r.Plates {
		if p.Ink.ID == id && p.Role == role {
			return k
		}
	}
	t.Fatalf("no plate %s as %s", id, role)
	return -1
}

// departure measures how far a cut departs from a shape given by its signed distance in source pixels, inside
// negative: over the device pixels whose centres lie within reach of the border, how far from the border the wrong
// ones lie.
func departure(b *raster.Bitmap, stepX, stepY float64, signed func(x, y float64) float64) (worst, mean float64) {
	reach, n := math.Max(stepX, stepY), 0
	for y := range b.Height {
		for x := range b.Width {
			d := signed((float64(x)+.5)*stepX, (float64(y)+.5)*stepY)
			if b.At(x, y) != (d < 0) {
				worst, mean = math.Max(worst, math.Abs(d)), mean+math.Abs(d)
			}
			if math.Abs(d) < reach {
				n++
			}
		}
	}
	return worst, mean / float64(max(n, 1))
}

func TestDisksAndRingsAreCutWithinAFifthOfAPixel(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	for _, device := range [][2]float64{{1440, 1440}, {1440, 720}} {
		for _, ground := range []paint{bareNone, goldArt} {
			for _, radius := range []float64{1.5, 2, 2.7, 4, 7.3, 15, 31.4} {
				for _, hole := range []float64{0, 0.55} {
					if hole*radius > 0 && hole*radius < 1.5 {
						continue
					}
					worst, mean := 0.0, 0.0
					const tries = 6
					for range tries {
						w, m := cutRing(t, device, ground, radius, hole*radius, 40+rng.Float64(), 40+rng.Float64())
						worst, mean = math.Max(worst, w), mean+m/tries
					}
					name := fmt.Sprintf("%gx%g dpi on %v, radius %g, hole %g", device[0], device[1], ground, radius, hole*radius)
					t.Logf("%s: off by %.3f px at most, %.4f on average", name, worst, mean)
					if worst > 0.2 || mean > 0.05 {
						t.Errorf("%s: worst %.3f (tolerance 0.2), mean %.4f (tolerance 0.05)", name, worst, mean)
					}
				}
			}
		}
	}
}

// cutRing draws a ring at 300 ppi beside a patch of the same colour, and measures its cut.
func cutRing(t testing.TB, device [2]float64, ground paint, radius, hole, cx, cy float64) (worst, mean float64) {
	img := drawn(120, 90, func(x, y float64) paint {
		d := math.Hypot(x-cx, y-cy)
		switch {
		case d < radius && d >= hole, x > 90 && x < 110 && y > 10 && y < 80:
			return redArt
		}
		return ground
	})
	j := cutJob{ppi: 300, xDPI: device[0], yDPI: device[1], garment: "#ffffff", underbase: separate.UnderbaseOff}
	r, bits := j.films(t, img)
	b := bits[plateOf(t, r, "red", separate.Color)]
	for y := range b.Height {
		for x := 85 * b.Width / 120; x < b.Width; x++ {
			b.Set(x, y, false)
		}
	}
	return departure(b, 120/float64(b.Width), 90/float64(b.Height), func(x, y float64) float64 {
		d := math.Hypot(x-cx, y-cy)
		return math.Max(d-radius, hole-d)
	})
}
