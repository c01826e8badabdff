package film

import (
	"math"

	"tamis/pkg/raster"
)

// area is a rectangle of the page in millimetres: left, top, width, height.
type area struct{ x, y, w, h float64 }

func (a area) right() float64  { return a.x + a.w }
func (a area) bottom() float64 { return a.y + a.h }

// meets tells whether two areas come nearer than gapMM.
func (a area) meets(b area, gapMM float64) bool {
	return a.x < b.right()+gapMM && b.x < a.right()+gapMM && a.y < b.bottom()+gapMM && b.y < a.bottom()+gapMM
}

// stamp is a small bitmap at its place on the page, before mirroring.
type stamp struct {
	x, y int
	bits *raster.Bitmap
}

// onto lays what the stamp has in film row y over the row.
func (s *stamp) onto(row []uint64, y int) {
	if y >= s.y && y < s.y+s.bits.Height {
		raster.OrBits(row, s.bits.Row(y-s.y), s.x)
	}
}

// canvas draws in one area of the page.
type canvas struct {
	stamp
	path
	perMM [2]float64
}

// newCanvas makes an empty canvas over an area: every pixel the area touches that lies on the page.
func (l *Layout) newCanvas(a area) *canvas {
	x0, y0 := max(0, int(math.Floor(a.x*l.perMM[0]))), max(0, int(math.Floor(a.y*l.perMM[1])))
	x1 := min(l.WidthPX, int(math.Ceil(a.right()*l.perMM[0]))+1)
	y1 := min(l.HeightPX, int(math.Ceil(a.bottom()*l.perMM[1]))+1)
	return &canvas{stamp: stamp{x0, y0, raster.NewBitmap(max(1, x1-x0), max(1, y1-y0))},
		path: path{perMM: l.perMM}, perMM: l.perMM}
}

// rect inks a rectangle; each edge lies on the nearest pixel edge, and it is at least a pixel wide and high.
func (c *canvas) rect(a area) {
	x0, y0 := int(math.Round(a.x*c.perMM[0])), int(math.Round(a.y*c.perMM[1]))
	x1 := max(x0+1, int(math.Round(a.right()*c.perMM[0])))
	y1 := max(y0+1, int(math.Round(a.bottom()*c.perMM[1])))
	c.bits.FillRect(x0-c.x, y0-c.y, x1-c.x, y1-c.y)
}

// cross inks a cross hair about (x, y), wMM across and hMM high, lineMM thick.
func (c *canvas) cross(x, y, wMM, hMM, lineMM float64) {
	c.rect(area{x - wMM/2, y - lineMM/2, wMM, lineMM})
	c.rect(area{x - lineMM/2, y - hMM/2, lineMM, hMM})
}

// flush inks what was drawn as outlines.
func (c *canvas) flush() { c.fill(c.bits, c.x, c.y) }
