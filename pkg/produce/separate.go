package produce

import (
	"os"

	"tamis/pkg/artwork"
	"tamis/pkg/raster"
)

// art is the picture on its way through the chain: decoded, then as planes, then as spooled films.
type art struct {
	image  *artwork.Image
	planes []*raster.Plane
	films  []*os.File
	proof  []byte
}

func (r *run) decode() error {
	image, err := artwork.Decode(r.ctx, r.Artwork, artwork.Limits(r.Limits))
	r.art.image = image
	return err
}

// separate cuts the planes and lets the decoded picture go: from here on the job holds one byte a pixel and plate.
func (r *run) separate() error {
	planes, err := r.Plan.Recipe.Apply(r.ctx, r.art.image, nil)
	r.art.planes, r.art.image = planes, nil
	return err
}
