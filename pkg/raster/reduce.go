package raster

import "tamis/pkg/cores"

// Reduce gives the plane with fewer pixels, each the mean of the area it covers, rounded half up and exact otherwise.
// width and height are 1 up to the plane's own; the plane itself is given back where both are its own.
//
// It comes before upsampling by straight lines, or cutting, where the artwork is finer than the device: those read
// neighbours alone and would skip pixels.
func Reduce(p *Plane, width, height int) *Plane {
	if width == p.Width && height == p.Height {
		return p
	}
	out := NewPlane(width, height)
	across, down := partsOf(p.Width, width), partsOf(p.Height, height)
	cores.Ranges(height, func(y0, y1 int) {
		line := make([]uint64, width) // a source row reduced across, in units of 1/p.Width
		sum := make([]uint64, width)  // of the rows an output row covers, in units of 1/(p.Width*p.Height)
		whole := uint64(p.Width) * uint64(p.Height)
		for y := y0; y < y1; y++ {
			clear(sum)
			for i, share := range down[y].shares {
				across.reduce(line, p.Row(down[y].first+i))
				for x, v := range line {
					sum[x] += v * share
				}
			}
			row := out.Row(y)
			for x, v := range sum {
				row[x] = uint8((v + whole/2) / whole)
			}
		}
	})
	return out
}

// part is the source pixels an output pixel covers: from which on, and the share of each, in whole numbers of 1/count
// source pixels, size in all.
type part struct {
	first  int
	shares []uint64
}

// parts are those of every output pixel along an axis.
type parts []part

// partsOf divides size source pixels among count.
func partsOf(size, count int) parts {
	all := make(parts, count)
	for i := range all {
		from, to := i*size, (i+1)*size
		p := part{first: from / count}
		for s := p.first; s*count < to; s++ {
			p.shares = append(p.shares, uint64(min(to, (s+1)*count)-max(from, s*count)))
		}
		all[i] = p
	}
	return all
}

// reduce sums the parts of a row that each output pixel covers.
func (ps parts) reduce(line []uint64, row []uint8) {
	for x := range line {
		p := &ps[x]
		sum := uint64(0)
		for i, v := range row[p.first : p.first+len(p.shares)] {
			sum += uint64(v) * p.shares[i]
		}
		line[x] = sum
	}
}
