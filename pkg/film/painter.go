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
}

// newPainting maps a plate's plane on the print box.
func newPainting(l *Layout, p Plate) *painting {
	g := &painting{plane: p.Plane, box: l.box, screen: p.Screen}
	if l.Rotated {
		g.plane = raster.TurnLeft(p.Plane)
	}
	if !p.Nearest { // artwork finer than the device
		g.plane = raster.Reduce(g.plane, min(g.plane.Width, l.box[2]-l.box[0]), min(g.plane.Height, l.box[3]-l.box[1]))
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

// painter picks what makes the print's bits.
func (g *painting) painter(p Plate) painter {
	switch {
	case p.Screen != nil:
		return g.screened()
	case p.Nearest:
		return g.squared()
	}
	return g.lined()
}
