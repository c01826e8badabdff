package raster

import "tamis/pkg/cores"

// Shape limits where a plate prints, by the labels of regions that all plates of a job share.
type Shape struct {
	Regions *Regions
	Own     Labels // there the plate prints whole, or in the tones of its plane where it is screened
	Under   Labels // there it prints as far as the 50 % contour of its plane reaches: traps and underbases
}

// TurnLeft gives the shape turned by 90 degrees counter-clockwise.
func (s *Shape) TurnLeft() *Shape { return &Shape{s.Regions.TurnLeft(), s.Own, s.Under} }

// leastKnown is the share a pixel must have of a shape for its tone to be read off: below, rounding tells too much.
const leastKnown = 64

// bleed is how far, in pixels, tones go on past the shape: the cut lies within half a pixel of it, and a sample there
// reads one pixel further.
const bleed = 2

// Tones gives the tones that a plane has inside the shape's own regions, undiluted by their soft edges and going on a
// little past them: screened and then cut to the shape they leave no fringe of small dots along the cut.
//
// A pixel that is covered by half by a solid has tone 255, not 128. Elsewhere the result is 0.
func (s *Shape) Tones(p *Plane) *Plane {
	out, known := NewPlane(p.Width, p.Height), NewPlane(p.Width, p.Height)
	cores.Ranges(p.Height, func(y0, y1 int) {
		for i := y0 * p.Width; i < y1*p.Width; i++ {
			if share := int(s.Regions.Of(i, s.Own)); share >= leastKnown {
				out.Pix[i], known.Pix[i] = uint8(min((int(p.Pix[i])*255+share/2)/share, 255)), 1
			}
		}
	})
	for range bleed {
		out, known = spill(out, known)
	}
	return out
}

// spill gives unknown pixels the largest tone of their known neighbours.
func spill(p, known *Plane) (wider, more *Plane) {
	wider, more = NewPlane(p.Width, p.Height), NewPlane(p.Width, p.Height)
	cores.Ranges(p.Height, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range p.Width {
				i := y*p.Width + x
				if known.Pix[i] != 0 {
					wider.Pix[i], more.Pix[i] = p.Pix[i], 1
					continue
				}
				for v := max(y-1, 0); v <= min(y+1, p.Height-1); v++ {
					for j := v*p.Width + max(x-1, 0); j <= v*p.Width+min(x+1, p.Width-1); j++ {
						if known.Pix[j] != 0 {
							wider.Pix[i], more.Pix[i] = max(wider.Pix[i], p.Pix[j]), 1
						}
					}
				}
			}
		}
	})
	return wider, more
}
