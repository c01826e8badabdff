package raster

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
	line := make([]uint64, width) // a source row reduced across, in units of 1/p.Width
	sum := make([]uint64, width)  // of the rows an output row covers, in units of 1/(p.Width*p.Height)
	whole := uint64(p.Width) * uint64(p.Height)
	for y := range height {
		clear(sum)
		eachPart(p.Height, height, y, func(source int, share uint64) {
			reduceRow(line, p.Row(source))
			for x, v := range line {
				sum[x] += v * share
			}
		})
		row := out.Row(y)
		for x, v := range sum {
			row[x] = uint8((v + whole/2) / whole)
		}
	}
	return out
}

// reduceRow sums the parts of a row that each output pixel covers.
func reduceRow(line []uint64, row []uint8) {
	for x := range line {
		line[x] = 0
		eachPart(len(row), len(line), x, func(source int, share uint64) { line[x] += uint64(row[source]) * share })
	}
}

// eachPart calls f for the source pixels that output pixel i covers, with the share of each: whole numbers of
// 1/count source pixels, size in all.
func eachPart(size, count, i int, f func(source int, share uint64)) {
	from, to := i*size, (i+1)*size
	for s := from / count; s*count < to; s++ {
		f(s, uint64(min(to, (s+1)*count)-max(from, s*count)))
	}
}
