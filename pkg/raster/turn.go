package raster

// TurnLeft gives the plane turned by 90 degrees counter-clockwise: its top edge becomes the left one.
func TurnLeft(p *Plane) *Plane {
	out := NewPlane(p.Height, p.Width)
	const block = 64 // a block of both fits the first cache
	for y0 := 0; y0 < p.Height; y0 += block {
		for x0 := 0; x0 < p.Width; x0 += block {
			for y := y0; y < min(y0+block, p.Height); y++ {
				for x := x0; x < min(x0+block, p.Width); x++ {
					out.Pix[(p.Width-1-x)*out.Width+y] = p.Pix[y*p.Width+x]
				}
			}
		}
	}
	return out
}
