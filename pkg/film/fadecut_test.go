package film

import (
	"math"
	"testing"

	"tamis/pkg/color"
	"tamis/pkg/halftone"
	"tamis/pkg/ink"
	"tamis/pkg/raster"
	"tamis/pkg/separate"
)

// fadingDisk is a disk that goes from red at the left to gold at the right, on nothing, with solid patches of both.
func fadingDisk(x, y float64) paint {
	switch {
	case math.Hypot(x-200, y-200) < 150:
		t := min(max((x-100)/200, 0), 1)
		mix := func(a, b uint8) uint8 { return uint8(math.Round(float64(a) + t*(float64(b)-float64(a)))) }
		return paint{mix(redArt[0], goldArt[0]), mix(redArt[1], goldArt[1]), mix(redArt[2], goldArt[2]), 255}
	case y > 370 && y < 390 && x > 20 && x < 190:
		return redArt
	case y > 370 && y < 390 && x > 210 && x < 380:
		return goldArt
	}
	return bareNone
}

func TestAGradientsPlateIsScreenedInsideAndCutAtItsEdges(t *testing.T) {
	j := cutJob{ppi: 300, xDPI: 1440, yDPI: 1440, garment: "#ffffff", underbase: separate.UnderbaseOff,
		screen: &halftone.Spec{Kind: halftone.AM, FreqLPI: 45, AngleDeg: 22.5}}
	r, bits := j.films(t, drawn(400, 400, fadingDisk))
	red, gold := plateOf(t, r, "red", separate.Color), plateOf(t, r, "gold", separate.Color)
	if r.Plates[red].Rendering != separate.Halftone || r.Plates[gold].Rendering != separate.Line {
		t.Fatalf("red is rendered %s, gold %s", r.Plates[red].Rendering, r.Plates[gold].Rendering)
	}
	b := bits[red]
	step := 400 / float64(b.Width)
	worst := 0.0
	for y := range b.Height {
		for x := range b.Width {
			u, v := (float64(x)+.5)*step, (float64(y)+.5)*step
			if v > 360 || u > 92 { // solid red left of here
				continue
			}
			d := math.Hypot(u-200, v-200) - 150
			if b.At(x, y) != (d < 0) {
				worst = math.Max(worst, math.Abs(d))
			}
		}
	}
	if worst > 0.2 {
		t.Errorf("the solid end's edge is off by %.3f source px (tolerance 0.2): it is screened, not cut", worst)
	}
	if n := outsideOf(b, step); n != 0 {
		t.Errorf("%d red pixels outside the disk", n)
	}
	for _, at := range []float64{130, 160, 200, 240} {
		if got, tone := inkAbout(b, at, step), toneAt(at); math.Abs(got-tone) > 0.04 {
			t.Errorf("at %g the film holds %.3f red, the gradient asks %.3f (tolerance 0.04)", at, got, tone)
		}
	}
}

// outsideOf counts ink more than a fifth of a source pixel outside the disk and the patches.
func outsideOf(b *raster.Bitmap, step float64) (n int) {
	for y := range b.Height {
		for x := range b.Width {
			u, v := (float64(x)+.5)*step, (float64(y)+.5)*step
			if b.At(x, y) && v < 360 && math.Hypot(u-200, v-200) > 150.2 {
				n++
			}
		}
	}
	return n
}

// inkAbout is the share of ink in a square of 30 source pixels in the middle of the disk, about column at.
func inkAbout(b *raster.Bitmap, at, step float64) float64 {
	n, ink := 0, 0
	for y := int(185 / step); y < int(215/step); y++ {
		for x := int((at - 15) / step); x < int((at+15)/step); x++ {
			n++
			if b.At(x, y) {
				ink++
			}
		}
	}
	return float64(ink) / float64(n)
}

// toneAt is the share of red that, beside gold, comes nearest to the gradient at a column, as the print model mixes.
func toneAt(at float64) float64 {
	light := func(p paint) ink.Light { return ink.LightOf(color.RGB8{R: p[0], G: p[1], B: p[2]}.Lab()) }
	p, gold, red := light(fadingDisk(at, 200)), light(goldArt), light(redArt)
	sum, square := 0.0, 0.0
	for c := range p {
		sum, square = sum+(p[c]-gold[c])*(red[c]-gold[c]), square+(red[c]-gold[c])*(red[c]-gold[c])
	}
	return sum / square
}
