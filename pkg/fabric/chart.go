package fabric

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// pen writes and draws into a picture.
type pen struct {
	img  *image.RGBA
	face font.Face
}

func newPen(img *image.RGBA) *pen {
	parsed, err := opentype.Parse(goregular.TTF)
	if err != nil {
		panic("fabric: the embedded typeface: " + err.Error()) // it is part of the program
	}
	face, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: 15, DPI: 72})
	if err != nil {
		panic("fabric: the embedded typeface: " + err.Error())
	}
	return &pen{img, face}
}

func (p *pen) text(x, y int, s string) {
	d := font.Drawer{Dst: p.img, Src: image.NewUniform(inkColor()), Face: p.face, Dot: fixed.P(x, y)}
	d.DrawString(s)
}

// textRight ends a text at x.
func (p *pen) textRight(x, y int, s string) { p.text(x-font.MeasureString(p.face, s).Ceil(), y, s) }

func inkColor() color.Color   { return color.RGBA{40, 44, 52, 255} }
func gridColor() color.Color  { return color.RGBA{222, 224, 228, 255} }
func curveColor() color.Color { return color.RGBA{20, 96, 160, 255} }
func limitColor() color.Color { return color.RGBA{190, 60, 40, 255} }

// point is a place in a picture, in pixels.
type point struct{ x, y float64 }

// line strokes from point to point, widthPX wide, each stretch a quadrilateral.
func (p *pen) line(c color.Color, widthPX float64, points ...point) {
	b := p.img.Bounds()
	r := vector.NewRasterizer(b.Dx(), b.Dy())
	for i := 1; i < len(points); i++ {
		a, z := points[i-1], points[i]
		length := math.Hypot(z.x-a.x, z.y-a.y)
		if length == 0 {
			continue
		}
		nx, ny := -(z.y-a.y)/length*widthPX/2, (z.x-a.x)/length*widthPX/2
		r.MoveTo(float32(a.x+nx), float32(a.y+ny))
		r.LineTo(float32(z.x+nx), float32(z.y+ny))
		r.LineTo(float32(z.x-nx), float32(z.y-ny))
		r.LineTo(float32(a.x-nx), float32(a.y-ny))
		r.ClosePath()
	}
	r.DrawOp = draw.Over
	r.Draw(p.img, b, image.NewUniform(c), image.Point{})
}

// chart draws visibility against angle, 0 to 180 degrees, with the limit that is let pass and the chosen angle.
func (p *pen) chart(box image.Rectangle, sweep []float64, chosenDeg float64) {
	top := chartLeastVisibility
	for _, v := range sweep {
		top = math.Max(top, v*1.05)
	}
	at := func(deg, v float64) point {
		return point{float64(box.Min.X) + float64(box.Dx())*deg/180,
			float64(box.Max.Y) - float64(box.Dy())*v/top}
	}
	p.grid(box, top, at)
	p.line(limitColor(), 1.5, at(0, MoireLimit), at(180, MoireLimit))
	chosen := math.Mod(math.Mod(chosenDeg, 180)+180, 180)
	p.line(limitColor(), 1.5, at(chosen, 0), at(chosen, top))
	curve := make([]point, len(sweep))
	for i, v := range sweep {
		curve[i] = at(float64(i)*angleStepDeg, v)
	}
	p.line(curveColor(), 2, curve...)
}

// grid draws the chart's axes: a line every 15 degrees, one every percent or so.
func (p *pen) grid(box image.Rectangle, top float64, at func(deg, v float64) point) {
	step := 0.01
	for top/step > 6 {
		step *= 2
	}
	for v := 0.0; v <= top; v += step {
		p.line(gridColor(), 1, at(0, v), at(180, v))
		p.textRight(box.Min.X-8, int(at(0, v).y)+5, fmt.Sprintf("%.0f %%", 100*v))
	}
	for deg := 0.0; deg <= 180; deg += 15 {
		p.line(gridColor(), 1, at(deg, 0), at(deg, top))
		p.text(int(at(deg, 0).x)-10, box.Max.Y+20, fmt.Sprintf("%.0f°", deg))
	}
}
