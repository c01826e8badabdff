package separate

import (
	"bytes"
	"context"

	"tamis/pkg/cores"
	"tamis/pkg/kernel"
	"tamis/pkg/raster"
)

// Tones of the shape's borders, 0..255. separate/_asm has them too.
const (
	bareTone      = 8   // less is no print
	sharpContrast = 160 // a border that rises by this within four pixels is sharp
)

// sharpSides is how far to either side a pixel's contrast is looked for.
const sharpSides = 2

// sharpShape is what is printed, as a shape: full inside, its own tones across sharp borders, full in fades.
func sharpShape(cover, base *raster.Plane) *raster.Plane {
	printed, shape := raster.NewPlane(cover.Width, cover.Height), raster.NewPlane(cover.Width, cover.Height)
	cores.Ranges(len(printed.Pix), func(from, to int) {
		for i := from; i < to; i++ {
			printed.Pix[i] = max(cover.Pix[i], base.Pix[i])
		}
	})
	ops := kernel.Fastest(edgeVariants, plainEdges)
	_ = rowsInParallel(context.Background(), cover.Height, func(int, int) {}, func(y0, y1 int) {
		padded := make([]uint8, cover.Width+2*sharpSides)
		for y := y0; y < y1; y++ {
			row := printed.Row(y)
			if solid(row) {
				copy(shape.Row(y), row)
				continue
			}
			copy(padded[sharpSides:], row)
			for i := range sharpSides {
				padded[i], padded[len(padded)-1-i] = row[0], row[len(row)-1]
			}
			at := func(d int) []uint8 { return printed.Row(min(max(y+d, 0), printed.Height-1)) }
			ops.sharp(shape.Row(y), padded, [4][]uint8{at(-2), at(-1), at(1), at(2)})
		}
	})
	return shape
}

// solid tells whether a row is full ink throughout.
func solid(row []uint8) bool {
	return len(bytes.TrimLeft(row, "\xff")) == 0
}

// edges are the kernels that find sharp borders.
type edges struct {
	// sharp makes a row of the shape: bare under bareTone, full where no border is sharp, the tone itself across one.
	// row has sharpSides pixels more to either side; beside are the rows two and one above, one and two below.
	sharp func(dst, row []uint8, beside [4][]uint8)
	// heap adds src to dst, up to 255.
	heap func(dst, src []uint8)
}

// plainEdges are the definitions.
var plainEdges = edges{sharpGeneric, heapGeneric}

func sharpGeneric(dst, row []uint8, beside [4][]uint8) {
	a, b, c, d := beside[0][:len(dst)], beside[1][:len(dst)], beside[2][:len(dst)], beside[3][:len(dst)]
	for x := range dst {
		near := row[x : x+5 : x+5]
		v := near[sharpSides]
		down := max(a[x], b[x], v, c[x], d[x]) - min(a[x], b[x], v, c[x], d[x])
		across := max(near[0], near[1], v, near[3], near[4]) - min(near[0], near[1], v, near[3], near[4])
		switch {
		case v < bareTone:
			dst[x] = 0
		case max(down, across) < sharpContrast:
			dst[x] = 255
		default:
			dst[x] = v
		}
	}
}

func heapGeneric(dst, src []uint8) {
	for i, v := range src {
		dst[i] = addClipped(dst[i], v)
	}
}
