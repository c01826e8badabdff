package film

import (
	"tamis/pkg/fault"
	"tamis/pkg/halftone"
	"tamis/pkg/raster"
)

// Plate is what one film shows: the coverage of one ink, how it becomes bits, and what its legend says.
type Plate struct {
	N, Of   int    // press position, from 1, and the number of plates
	InkName string // any text; what the typeface lacks shows as a box
	Role    string // as the plan says it; may be empty
	Order   string // the order's own reference; may be empty
	Mesh    string // the mesh in words, "90/cm"; may be empty

	Plane   *raster.Plane    // upright, at the artwork's resolution; stretched over the print box
	Screen  *halftone.Screen // made for Layout.ScreenSpec; nil: line work, cut on the 50 % contour
	Nearest bool             // index art: each source pixel a square dot; Screen is nil
	Shape   *raster.Shape    // where it prints, of the plane's size; nil: wherever the plane says

	LPI, AngleDeg float64 // for the legend, as asked on the print; LPI 0 leaves both out

	part string // "part 1 of 2" on the films of a split print; the page fills it
}

// check says what cannot be written.
func (p Plate) check(l *Layout) error {
	switch {
	case p.Plane == nil:
		return fault.Newf(fault.Internal, "", "plate_empty", "plate %d has no plane", p.N)
	case p.Nearest && p.Screen != nil:
		return fault.Newf(fault.Internal, "", "plate_both", "plate %d is both screened and index art", p.N)
	case p.Shape != nil && (p.Nearest || p.Shape.Regions.Width != p.Plane.Width ||
		p.Shape.Regions.Height != p.Plane.Height):
		return fault.Newf(fault.Internal, "", "plate_shape", "plate %d: its shape is not its plane's", p.N)
	case p.N < 1 || p.Of < p.N || p.Of != l.Spec.Plates:
		return fault.Newf(fault.Internal, "", "plate_number", "plate %d of %d on a page for %d", p.N, p.Of, l.Spec.Plates)
	case p.Screen != nil && (p.Screen.Spec.XDPI != l.ScreenSpec(halftone.Spec{}).XDPI ||
		p.Screen.Spec.YDPI != l.ScreenSpec(halftone.Spec{}).YDPI):
		return fault.Newf(fault.Internal, "", "plate_screen", "plate %d: its screen was made for another device", p.N)
	}
	return nil
}

// Film tells what was written.
type Film struct {
	WidthPX, HeightPX int
	Bytes             int64
	InkArea           float64 // share of the print box that is ink, counted in the bits, 0..1
	Legend            string  // as in PageName
}
