package film

import (
	"tamis/pkg/halftone"
	"tamis/pkg/raster"
)

// painter makes the bits of the print, row by row. It may keep state between rows: each band has its own.
type painter interface {
	// paint writes the words of film row y that hold the print box, from the word of its first column on, over
	// zeros; bits outside the box stay 0.
	paint(dst []uint64, y int)
}

// painting is what every band of a plate shares: the plane as it lies on the film and where it samples.
type painting struct {
	plane        *raster.Plane
	box          [4]int
	first, words int // the words of a row that the box touches
	across, down raster.Axis
	screen       *halftone.Screen
	spans        []span // what each word samples, for a screen
	shape        *raster.Shape
	reach        *raster.Plane // the plane whose contour the shape takes, where tones are screened another one
	size         [2]float64    // exact size of the print in device pixels
}

// newPainting maps a plate's plane on the print box.
func newPainting(l *Layout, p Plate) *painting {
	g := &painting{plane: p.Plane, box: l.box, screen: p.Screen, shape: p.Shape, size: l.widthPX}
	if p.Shape != nil && p.Screen != nil {
		g.plane = p.Shape.Tones(p.Plane)
	}
	g.reach = p.Plane
	if l.Rotated {
		g.turn()
	}
	if !p.Nearest {
		g.reduce()
	}
	gridX, gridY := 1, 1
	if p.Screen != nil {
		gridX, gridY = p.Screen.Grid()
	}
	g.first = l.box[0] >> 6
	g.words = (l.box[2]+63)>>6 - g.first
	g.across = raster.NewAxis(g.plane.Width, l.box[2]-l.box[0], l.widthPX[0], gridX, l.box[0])
	g.down = raster.NewAxis(g.plane.Height, l.box[3]-l.box[1], l.widthPX[1], gridY, l.box[1])
	g.spans = newSpans(g)
	return g
}

// turn lays everything on its side.
func (g *painting) turn() {
	if g.shape != nil {
		g.shape = g.shape.TurnLeft()
	}
	g.each(raster.TurnLeft)
}

// reduce leaves artwork that is finer than the device with its pixels.
func (g *painting) reduce() {
	g.each(func(p *raster.Plane) *raster.Plane {
		return raster.Reduce(p, min(p.Width, g.box[2]-g.box[0]), min(p.Height, g.box[3]-g.box[1]))
	})
}

// each changes both planes, which mostly are one.
func (g *painting) each(change func(p *raster.Plane) *raster.Plane) {
	one := g.plane == g.reach
	g.plane = change(g.plane)
	if one {
		g.reach = g.plane
	} else {
		g.reach = change(g.reach)
	}
}

// cuts are the axes that cut a picture of so many pixels, each device pixel at its own place.
func (g *painting) cuts(width, height int) (across, down raster.Axis) {
	return raster.NewAxis(width, g.box[2]-g.box[0], g.size[0], 1, g.box[0]),
		raster.NewAxis(height, g.box[3]-g.box[1], g.size[1], 1, g.box[1])
}

// painter picks what makes the print's bits.
func (g *painting) painter(p Plate) painter {
	switch {
	case p.Shape != nil:
		return g.shaped()
	case p.Screen != nil:
		return g.screened()
	case p.Nearest:
		return g.squared()
	}
	return g.lined()
}
