package separate

import (
	"tamis/pkg/artwork"
	"tamis/pkg/pages"
	"tamis/pkg/raster"
)

// edgePixel marks a pixel that is none of the flat colours, fadePixel one that is of a gradient between two.
const (
	edgePixel = 255
	fadePixel = 254
)

// sameColor is how far, in codes a channel, a pixel may be from a flat colour to count as it: above the noise JPEG
// leaves, below what moves an edge's 50 % contour.
const sameColor = 6

// sorting is artwork whose pixels are being given to flat colours.
type sorting struct {
	*spotter
	img     *artwork.Image
	class   []uint8 // of each pixel: its flat colour, fadePixel or edgePixel
	planes  []*raster.Plane
	regions *raster.Regions
}

func (sp *spotter) newSorting(img *artwork.Image) *sorting {
	s := &sorting{spotter: sp, img: img, class: pages.Make[uint8](img.Width * img.Height)}
	s.planes = make([]*raster.Plane, sp.count)
	for i := range s.planes {
		s.planes[i] = raster.NewPlane(img.Width, img.Height)
	}
	s.regions = raster.NewRegions(img.Width, img.Height)
	return s
}

// at is pixel i, premultiplied.
func (s *sorting) at(i int) rgba { return premultiplied([4]uint8(s.img.Pix[4*i : 4*i+4])) }

// classify writes each pixel's flat colour, or fadePixel, or edgePixel.
func (s *sorting) classify(y0, y1 int) {
	last, lastClass := [4]uint8{0, 0, 0, 1}, uint8(edgePixel)
	for i := y0 * s.img.Width; i < y1*s.img.Width; i++ {
		if p := [4]uint8(s.img.Pix[4*i : 4*i+4]); p != last {
			last, lastClass = p, s.classAt(premultiplied(p))
		}
		s.class[i] = lastClass
		if lastClass == edgePixel && len(s.fades) > 0 && s.still(i) && s.fadeOf(s.at(i)) != nil {
			s.class[i] = fadePixel
		}
	}
}

// classAt is the flat colour that v is, or edgePixel.
func (sp *spotter) classAt(v rgba) uint8 {
	best, at := float64(sameColor+1), edgePixel
	for k, c := range sp.colors {
		if far := apart(v, c); far < best {
			best, at = far, k
		}
	}
	return uint8(at)
}

func premultiplied(p [4]uint8) rgba {
	a := float64(p[3]) / 255
	return rgba{float64(p[0]) * a, float64(p[1]) * a, float64(p[2]) * a, float64(p[3])}
}

// row writes one row of every plane, and of the regions: runs of one flat colour at once, edges pixel by pixel.
func (s *sorting) row(y int) {
	end := (y + 1) * s.img.Width
	for i := y * s.img.Width; i < end; {
		c := s.class[i]
		if c >= fadePixel {
			s.mixed(i)
			i++
			continue
		}
		to := i + 1
		for to < end && s.class[to] == c {
			to++
		}
		for _, k := range s.plates[c] {
			fill(s.planes[k].Pix[i:to], 255)
		}
		if l := s.labels[c]; l != 0 { // as the regions were made
			fill(s.regions.A[i:to], l)
			fill(s.regions.B[i:to], l)
		}
		i = to
	}
}

// fill sets every byte: the part done so far is copied behind itself.
func fill(dst []uint8, v uint8) {
	dst[0] = v
	for n := 1; n < len(dst); n *= 2 {
		copy(dst[n:], dst[:n])
	}
}

// mixed writes pixel i, which is no flat colour: a gradient's, or an edge's, unmixed.
func (s *sorting) mixed(i int) {
	v, seen := s.at(i), s.around(i)
	if len(s.fades) > 0 && s.fading(i, v, seen) {
		return
	}
	m := s.unmix(v, seen)
	s.share(i, s.labels[m.a], s.labels[m.b], m.share)
	s.add(i, m.a, m.share)
	s.add(i, m.b, 255-m.share)
}

// share gives a share of pixel i to a label and the rest to another.
func (s *sorting) share(i int, a, b, share uint8) {
	s.regions.A[i], s.regions.B[i], s.regions.Share[i] = a, b, share
}

// add puts so much of a flat colour on its plates.
func (s *sorting) add(i, at int, share uint8) {
	for _, k := range s.plates[at] {
		s.planes[k].Pix[i] = addClipped(s.planes[k].Pix[i], share)
	}
}

func addClipped(a, b uint8) uint8 { return uint8(min(int(a)+int(b), 255)) }

// edgeReach is how far from an edge pixel its two colours may stand: blended edges are one to three pixels wide.
const edgeReach = 3

// around is the set of flat colours near pixel i, one bit each.
func (s *sorting) around(i int) uint32 {
	width, height := s.img.Width, s.img.Height
	x, y, seen := i%width, i/width, uint32(0)
	for reach := 1; reach <= edgeReach; reach++ {
		for v := max(0, y-reach); v <= min(height-1, y+reach); v++ {
			for _, c := range s.class[v*width+max(0, x-reach) : v*width+min(width, x+reach+1)] {
				if c < fadePixel {
					seen |= 1 << c
				}
			}
		}
		if seen&(seen-1) != 0 && reach >= 2 { // two colours, found with some room
			break
		}
	}
	return seen
}
