package raster

// Cubic holds the four weights of a Catmull-Rom sample between the second and the third of four neighbours, in units
// of 1/65536; they sum to 65536.
type Cubic [4]int64

// CubicHalf is half coverage in the units of CubicAt.
const CubicHalf = 255 << 31

// CubicWeights gives the weights at w 32nds of the way, exactly: w is 0..31, the cubic's denominators are 2*32^3.
//
// Source: E. Catmull and R. Rom, Computer Aided Geometric Design (1974) 317-326.
func CubicWeights(w int) Cubic {
	t := int64(w)
	t2, t3 := t*t*32, t*t*t // in units of 1/32768
	t1 := t * 32 * 32
	return Cubic{-t1 + 2*t2 - t3, 2*32768 - 5*t2 + 3*t3, t1 + 4*t2 - 3*t3, -t2 + t3}
}

// CubicAt samples the plane between columns x and x+1 and rows y and y+1, exactly, in units of 1/2^32 of a step of
// 1/255. Beyond the plane its edge pixels go on.
func (p *Plane) CubicAt(x, y int, across, down Cubic) int64 {
	var sum int64
	for j, wy := range down {
		row := p.Row(min(max(y+j-1, 0), p.Height-1))
		var line int64
		for i, wx := range across {
			line += wx * int64(row[min(max(x+i-1, 0), p.Width-1)])
		}
		sum += wy * line
	}
	return sum
}
