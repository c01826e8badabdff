package draw

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"golang.org/x/image/vector"
)

// bandRows is the height that one worker draws at a time: fixed, so that the bytes do not follow the core count.
const bandRows = 128

// canvas collects figures and draws them in order. Inks are straight (not premultiplied) sRGB on a transparent ground.
type canvas struct {
	w, h int
	ops  []op
}

type op struct {
	figure shape
	box    image.Rectangle
	ink    color.NRGBA // the zero ink cuts: it takes away what lies beneath
}

func (c *canvas) fill(ink color.NRGBA, s shape) {
	c.ops = append(c.ops, op{figure: s, box: s.box(), ink: ink})
}

// line draws a pen line of even width along the open line.
func (c *canvas) line(ink color.NRGBA, widthPX float64, line []pt) {
	c.fill(ink, stroke(line, widthPX))
}

// cut takes everything beneath s away, down to the transparent ground.
func (c *canvas) cut(s shape) { c.fill(color.NRGBA{}, s) }

// edged fills s and draws a pen line of edgePX on its border, half of it outside.
func (c *canvas) edged(ink, edge color.NRGBA, edgePX float64, s shape) {
	c.fill(ink, s)
	c.fill(edge, outline(s, edgePX))
}

func (s shape) box() image.Rectangle {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, line := range s {
		for _, p := range line {
			x0, y0, x1, y1 = min(x0, p.x), min(y0, p.y), max(x1, p.x), max(y1, p.y)
		}
	}
	if x0 > x1 {
		return image.Rectangle{}
	}
	return image.Rect(int(math.Floor(x0)), int(math.Floor(y0)), int(math.Ceil(x1)), int(math.Ceil(y1)))
}

// render draws all figures, bands side by side on every core.
func (c *canvas) render() *image.NRGBA {
	out := image.NewNRGBA(image.Rect(0, 0, c.w, c.h))
	inBands(c.h, func(y0, y1 int) {
		var r vector.Rasterizer
		mask := image.NewAlpha(image.Rect(0, 0, c.w, bandRows))
		for _, o := range c.ops {
			o.draw(out, image.Rect(0, y0, c.w, y1), &r, mask)
		}
	})
	return out
}

// inBands calls f for every band of rows, side by side, and waits.
func inBands(rows int, f func(y0, y1 int)) {
	var next atomic.Int64
	var done sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		done.Go(func() {
			for {
				y0 := int(next.Add(1)-1) * bandRows
				if y0 >= rows {
					return
				}
				f(y0, min(y0+bandRows, rows))
			}
		})
	}
	done.Wait()
}

// draw lays the part of o that falls into band over out. mask is scratch of a band's size.
func (o op) draw(out *image.NRGBA, band image.Rectangle, r *vector.Rasterizer, mask *image.Alpha) {
	box := o.box.Intersect(band)
	if box.Empty() {
		return
	}
	r.Reset(box.Dx(), box.Dy())
	r.DrawOp = draw.Src
	for _, line := range o.figure {
		trace(r, line, pt{float64(box.Min.X), float64(box.Min.Y)})
	}
	part := image.Rect(0, 0, box.Dx(), box.Dy())
	r.Draw(mask, part, image.Opaque, image.Point{})
	for y := range part.Max.Y {
		cover := mask.Pix[y*mask.Stride:][:part.Max.X]
		layRow(out.Pix[out.PixOffset(box.Min.X, box.Min.Y+y):], cover, o.ink)
	}
}

func trace(r *vector.Rasterizer, line []pt, origin pt) {
	for i, p := range line {
		x, y := float32(p.x-origin.x), float32(p.y-origin.y)
		if i == 0 {
			r.MoveTo(x, y)
		} else {
			r.LineTo(x, y)
		}
	}
	r.ClosePath()
}

// seamCover is the cover, of 255, that counts as none, and what is missing from full cover that counts as full. Pieces
// of one stroke that share an edge may lose up to 4 to the rasterizer's rounding; a hair of seam would be one more ink.
const seamCover = 6

// layRow composites ink over a row of straight RGBA, cover 0..255 per pixel. Full cover leaves the ink's own
// bytes.
func layRow(row, cover []uint8, ink color.NRGBA) {
	for x, a := range cover {
		switch {
		case a < seamCover:
			continue
		case a > 255-seamCover:
			a = 255
		}
		px := row[4*x : 4*x+4 : 4*x+4]
		if ink.A == 0 {
			px[3] = uint8((uint32(px[3])*(255-uint32(a)) + 127) / 255)
			if px[3] == 0 {
				px[0], px[1], px[2] = 0, 0, 0
			}
			continue
		}
		over(px, ink, uint32(a))
	}
}

// over is the straight-alpha "over" in sRGB values, rounded to the nearest byte.
func over(px []uint8, ink color.NRGBA, a uint32) {
	under := uint32(px[3]) * (255 - a) // of 255*255
	sum := a*255 + under
	mix := func(top, bottom uint8) uint8 {
		return uint8((uint32(top)*a*255 + uint32(bottom)*under + sum/2) / sum)
	}
	px[0], px[1], px[2] = mix(ink.R, px[0]), mix(ink.G, px[1]), mix(ink.B, px[2])
	px[3] = uint8((sum + 127) / 255)
}
