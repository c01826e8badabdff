package produce

import (
	"math"
	"os"

	"tamis/pkg/artwork"
	"tamis/pkg/halftone"
	"tamis/pkg/raster"
)

// art is the picture on its way through the chain: as it is, then as planes, then as spooled films.
type art struct {
	image   *artwork.Image
	planes  []*raster.Plane
	shapes  []*raster.Shape
	screens []*halftone.Screen
	films   []*os.File // a plate each, whole
	pages   []*os.File // those that are written: the same, or the parts of a split print, plate by plate
	proof   []byte     // as the sheet shows it
}

// finestPPI is the resolution artwork is separated at, at most. Ours: a pixel of 35 um is below what mesh and device
// hold, and distances cost with the square of their pixels.
const finestPPI = 720

// fit makes a picture that is finer than that smaller; any other may still be arriving.
func (r *run) fit() error {
	size := r.Plan.Doc.Print
	most := int(math.Ceil(max(size.WidthMM, size.HeightMM) / 25.4 * finestPPI))
	if max(r.Image.Width, r.Image.Height) > most {
		if err := r.Image.Whole(); err != nil {
			return err
		}
	}
	r.art.image = r.Image.Reduced(most)
	return nil
}

// separate cuts the planes.
func (r *run) separate() error {
	s, err := r.Plan.Recipe.Separate(r.ctx, r.art.image, nil)
	if err != nil {
		return err
	}
	r.found(s.Findings)
	r.art.planes, r.art.shapes = s.Planes, s.Shapes
	return nil
}

// screens makes the plates' screens.
func (r *run) screens() (err error) {
	r.art.screens, err = r.Plan.Screens()
	return err
}

// letArtGo lets the decoded picture go: from here on the job holds one byte a pixel and plate.
func (r *run) letArtGo() error {
	r.Image, r.art.image = nil, nil
	return nil
}
