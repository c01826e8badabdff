package fabric

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"tamis/pkg/halftone"
)

// View is what a picture of moire shows: a flat tint of a halftone on a mesh.
type View struct {
	Dot        halftone.Dot
	Tone       float64 // of the tint drawn, 0..1
	Screen     Screen  // its Orders are what the chart reckons with
	Mesh       Mesh
	DistanceMM float64
}

// Sizes of the picture, in pixels. A panel's pixel is 0.1 mm of the print.
const (
	panelPX, chartHeightPX = 440, 220
	marginPX, captionPX    = 40, 30
	pictureWidthPX         = 3*marginPX + 2*panelPX
	pictureHeightPX        = 2*captionPX + panelPX + chartHeightPX + 3*marginPX
	pixelMM                = 0.1
	finePX                 = 5 // points each way in a pixel of a panel
	arcMinutesSeen         = 1.0
	widthOfSigma           = 2.3548 // a Gaussian's full width at half height, in its sigmas
	chartLeastVisibility   = 0.03
)

// Picture draws the tint as an eye sees it, enlarged: at the screen's angle on the left, at the angle that shows the
// worst beat on the right, both on the same mesh; and under them the worst beat's visibility at every angle.
//
// The eye is a blur of one minute of arc. Contrast is not stretched.
func (v View) Picture() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, pictureWidthPX, pictureHeightPX))
	draw.Draw(img, img.Bounds(), image.White, image.Point{}, draw.Src)
	sweep := Sweep([]Plate{{Orders: v.Screen.Orders, Mesh: v.Mesh}}, v.Screen.FreqLPI, v.DistanceMM)
	worst := worstAngle(sweep)
	pen := newPen(img)
	c := newCell(shapeAt(v.Dot, v.Tone))
	for i, angle := range []float64{v.Screen.AngleDeg, worst} {
		x := marginPX + i*(panelPX+marginPX)
		v.panel(c, angle).paint(img, x, marginPX+captionPX)
		worst := Screen{v.Screen.FreqLPI, angle, v.Screen.Orders}.Worst(v.Mesh, v.DistanceMM).Visibility
		pen.text(x, marginPX+captionPX-10, fmt.Sprintf("%s: %.4g lpi at %.4g°, worst beat %.1f %%",
			[]string{"Chosen", "Worst angle"}[i], v.Screen.FreqLPI, angle, 100*worst))
	}
	pen.text(marginPX, marginPX+2*captionPX+panelPX-8, fmt.Sprintf(
		"%.0f mm of a %.0f %% tint on %.4g threads/cm, seen from %.4g mm",
		panelPX*pixelMM, 100*v.Tone, v.Mesh.ThreadsPerCM, v.DistanceMM))
	pen.text(marginPX, 2*marginPX+2*captionPX+panelPX-14,
		"The worst beat at every angle; red: what is let pass, and the angle chosen")
	pen.chart(image.Rect(marginPX+40, 2*marginPX+2*captionPX+panelPX, pictureWidthPX-marginPX, pictureHeightPX-marginPX),
		sweep, v.Screen.AngleDeg)
	return img
}

func worstAngle(sweep []float64) float64 {
	at := 0
	for i, s := range sweep {
		if s > sweep[at]+1e-9 {
			at = i
		}
	}
	return float64(at) * angleStepDeg
}

// panel is a square of coverage, 0 bare to 1 solid.
type panel [panelPX * panelPX]float64

// panel draws the tint through the mesh at an angle and blurs it as the eye does.
func (v View) panel(c *cell, angleDeg float64) *panel {
	p, sub := &panel{}, pixelMM/float64(finePX)
	f := Screen{FreqLPI: v.Screen.FreqLPI, AngleDeg: angleDeg}.vector()
	inked := int32(math.Round(v.Tone * float64(len(c))))
	across := v.Mesh.holesAlong(panelPX*finePX, sub)
	for j := range panelPX * finePX {
		y := -float64(j) * sub // pictures run down, angles up
		for i := range panelPX * finePX {
			x := float64(i) * sub
			if c.at(x*f.x+y*f.y, y*f.x-x*f.y) < inked {
				p[j/finePX*panelPX+i/finePX] += across[i] * across[j]
			}
		}
	}
	for i := range p {
		p[i] /= float64(finePX * finePX)
	}
	p.blur(v.DistanceMM * arcMinutesSeen * math.Pi / (180 * 60) / widthOfSigma / pixelMM)
	return p
}

// at is the place in the order of inking of a point, in cells from a cell's centre.
func (c *cell) at(u, v float64) int32 {
	i := int((u - math.Floor(u)) * cellSamples)
	j := int((v - math.Floor(v)) * cellSamples)
	return c[min(j, cellSamples-1)*cellSamples+min(i, cellSamples-1)]
}

// holesAlong is the mesh's share of hole in n steps along one direction, 1 on average.
func (m Mesh) holesAlong(n int, stepMM float64) []float64 {
	pitch, open := m.PitchUM()/1000, m.OpeningUM()/1000
	upTo := func(x float64) float64 {
		whole := math.Floor(x / pitch)
		return whole*open + math.Min(open, x-whole*pitch)
	}
	all := make([]float64, n)
	for i := range all {
		x := float64(i) * stepMM
		all[i] = (upTo(x+stepMM) - upTo(x)) / stepMM / (open / pitch)
	}
	return all
}

// blur is a Gaussian both ways; the edge is mirrored.
func (p *panel) blur(sigmaPX float64) {
	reach := int(math.Ceil(3 * sigmaPX))
	weights, sum := make([]float64, 2*reach+1), 0.0
	for i := range weights {
		x := float64(i - reach)
		weights[i] = math.Exp(-x * x / (2 * sigmaPX * sigmaPX))
		sum += weights[i]
	}
	line := make([]float64, panelPX)
	for pass := range 2 {
		step, next := 1, panelPX
		if pass == 1 {
			step, next = panelPX, 1
		}
		for k := range panelPX {
			for i := range line {
				line[i] = p[k*next+i*step]
			}
			for i := range line {
				total := 0.0
				for j, w := range weights {
					total += w * line[mirrored(i+j-reach)]
				}
				p[k*next+i*step] = total / sum
			}
		}
	}
}

func mirrored(i int) int {
	if i < 0 {
		return min(-i, panelPX-1)
	}
	if i >= panelPX {
		return max(2*panelPX-2-i, 0)
	}
	return i
}

// paint lays the panel into a picture as dark ink on white.
func (p *panel) paint(img *image.RGBA, x0, y0 int) {
	for i, v := range p {
		level := 255 - 225*math.Max(0, math.Min(1, v))
		r, b := uint8(math.Round(level)), uint8(math.Round(math.Min(255, level+12)))
		img.SetRGBA(x0+i%panelPX, y0+i/panelPX, color.RGBA{r, r, b, 255})
	}
}
