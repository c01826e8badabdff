package artwork

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"reflect"
	"runtime"
	"testing"

	"golang.org/x/image/vector"
)

// stroked draws an anti-aliased line of a width at an angle through the middle, and a block apart from it that makes the art flat.
func stroked(size int, ground, ink color.Color, width, angleDeg float64) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, size, size))
	draw.Draw(m, m.Rect, image.NewUniform(ground), image.Point{}, draw.Src)
	sin, cos := math.Sincos(angleDeg * math.Pi / 180)
	half, c := 0.35*float64(size), float64(size)/2+0.3
	z := vector.NewRasterizer(size, size)
	for i, p := range [][2]float64{{-half, -width / 2}, {half, -width / 2}, {half, width / 2}, {-half, width / 2}} {
		x, y := float32(c+p[0]*cos-p[1]*sin), float32(c+p[0]*sin+p[1]*cos)
		if i == 0 {
			z.MoveTo(x, y)
		} else {
			z.LineTo(x, y)
		}
	}
	z.ClosePath()
	z.Draw(m, m.Rect, image.NewUniform(ink), image.Point{})
	draw.Draw(m, image.Rect(5, 5, 65, 65), image.NewUniform(ink), image.Point{}, draw.Src)
	return m
}

// thinnestOf is the thinnest line of a kind anywhere.
func thinnestOf(insp *Inspection, kind LineKind) float64 {
	thin := 0.0
	for i := range insp.Overview.Cells() {
		if w := insp.Overview.Line(i, kind).WidthPX; w > 0 && (thin == 0 || w < thin) {
			thin = w
		}
	}
	return thin
}

func TestLinesAreAsThickAsDrawn(t *testing.T) {
	dark, light := color.NRGBA{20, 30, 40, 255}, color.NRGBA{250, 240, 230, 255}
	clear := color.NRGBA{}
	for _, r := range []struct {
		name        string
		ground, ink color.NRGBA
		kind        LineKind
	}{
		{"dark on light", light, dark, DarkLine}, {"light on dark", dark, light, LightLine},
		{"dark on nothing", clear, dark, DarkLine}, {"light on nothing", clear, light, LightLine},
	} {
		for _, width := range []float64{2, 3, 4.5, 8, 14} {
			for _, angle := range []float64{0, 10, 22.5, 37, 45, 60, 90, 135} {
				insp := inspected(t, stroked(400, r.ground, r.ink, width, angle))
				got := thinnestOf(insp, r.kind)
				if off := got - width; off < -0.5 || off > 0.09*width+0.75 {
					t.Errorf("%s, %g px at %g°: measured %g (tol -0.5, +0.75 and 9 %%; %s)", r.name, width, angle, got, insp.Kind)
				}
				for other := range LineKinds {
					if w := thinnestOf(insp, other); other != r.kind && w > 0 {
						t.Errorf("%s, %g px at %g°: kind %d has %g px too", r.name, width, angle, other, w)
					}
				}
			}
		}
	}
}

func TestAGapIsAsWideAsDrawn(t *testing.T) {
	for _, width := range []int{2, 5, 9} {
		m := image.NewNRGBA(image.Rect(0, 0, 300, 300))
		ink := image.NewUniform(color.NRGBA{200, 30, 40, 255})
		draw.Draw(m, image.Rect(40, 40, 150, 260), ink, image.Point{}, draw.Src)
		draw.Draw(m, image.Rect(150+width, 40, 260, 260), ink, image.Point{}, draw.Src)
		if got := thinnestOf(inspected(t, m), ClearLine); math.Abs(got-float64(width)) > 0.25 {
			t.Errorf("a gap of %d px measures %g (tol 0.25)", width, got)
		}
	}
}

// TestTipsAreNoLines: what runs out to a point is thin at its end in all art.
func TestTipsAreNoLines(t *testing.T) {
	insp := inspected(t, rays(800, 800, color.White, color.NRGBA{200, 30, 40, 255}, color.NRGBA{20, 40, 120, 255}))
	for kind := range LineKinds {
		if w := thinnestOf(insp, kind); w > 0 {
			t.Errorf("rays have a line of kind %d, %g px", kind, w)
		}
	}
}

func TestSpecksAreCountedOnce(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 480, 480))
	draw.Draw(m, m.Rect, image.White, image.Point{}, draw.Src)
	for i := range 20 {
		x, y, d := 30+(i%5)*90, 30+(i/5)*110, 2+i%4
		draw.Draw(m, image.Rect(x, y, x+d, y+d), image.Black, image.Point{}, draw.Src)
	}
	draw.Draw(m, image.Rect(200, 200, 300, 220), image.Black, image.Point{}, draw.Src)
	o, specks, least := inspected(t, m).Overview, 0, 99.0
	for i := range o.Cells() {
		if l := o.Line(i, DarkLine); l.Specks > 0 {
			specks += l.Specks
			least = min(least, l.SpeckPX)
		}
	}
	if specks != 20 || least != 2 {
		t.Errorf("%d specks, the least %g px; 20 of 2 to 5 px were drawn", specks, least)
	}
}

func TestALineIsSeenBetweenColoursOfOneBrightness(t *testing.T) {
	for _, r := range []struct {
		name        string
		ground, ink color.NRGBA
	}{
		{"navy on red", color.NRGBA{200, 50, 43, 255}, color.NRGBA{31, 58, 95, 255}},
		{"green on red", color.NRGBA{200, 30, 40, 255}, color.NRGBA{20, 105, 60, 255}},
		{"blue on green", color.NRGBA{40, 110, 50, 255}, color.NRGBA{80, 70, 210, 255}},
		{"yellow on white", color.NRGBA{255, 255, 255, 255}, color.NRGBA{255, 235, 0, 255}},
	} {
		insp := inspected(t, stroked(400, r.ground, r.ink, 3, 30))
		thin := max(thinnestOf(insp, DarkLine), thinnestOf(insp, LightLine))
		if math.Abs(thin-3) > 0.75 {
			t.Errorf("%s: a line of 3 px measures %g (tol 0.75)", r.name, thin)
		}
	}
}

// TestLinesDoNotDependOnCoresOrBands: a short line across the border of two bands is found whole, by any number of cores.
func TestLinesDoNotDependOnCoresOrBands(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 1200, 1200))
	draw.Draw(m, m.Rect, image.White, image.Point{}, draw.Src)
	draw.Draw(m, image.Rect(100, 100, 600, 600), image.Black, image.Point{}, draw.Src)
	draw.Draw(m, image.Rect(700, bandPX-10, 702, bandPX+10), image.Black, image.Point{}, draw.Src)
	draw.Draw(m, image.Rect(bandPX-10, 300, bandPX+10, 302), image.Black, image.Point{}, draw.Src)
	many := inspected(t, m)
	cores := runtime.GOMAXPROCS(1)
	one := inspected(t, m)
	runtime.GOMAXPROCS(cores)
	if !reflect.DeepEqual(many.Overview, one.Overview) {
		t.Error("the overview depends on the number of cores")
	}
	length := 0.0
	for i := range one.Overview.Cells() {
		length += one.Overview.Line(i, DarkLine).LengthPX
	}
	if length != 40 {
		t.Errorf("%g px of lines, 40 were drawn", length)
	}
}
