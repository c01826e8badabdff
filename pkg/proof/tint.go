package proof

import (
	"context"
	"math"

	"tamis/pkg/raster"
)

// pitchSigma is the width of the window that a tone is read over, as a share of the distance of the dots. Ours: at 0.4
// a ruling is left with 4 % of its contrast, too little to bend the curve; wider windows take tones from over the
// edges.
const pitchSigma = 0.4

// tint counts film i to printed coverage a proof pixel.
func (f *filmed) tint(ctx context.Context, i int) ([]uint16, error) {
	counted, err := f.count(ctx, i)
	if err != nil || f.films[i].Curve.Identity() {
		return counted, err
	}
	var weights [2][]uint32
	for axis := range 2 {
		weights[axis] = bell(pitchSigma * f.films[i].PitchMM / f.stepMM[axis])
	}
	wide := blurred(counted, f.width, f.height, weights)
	for k, local := range counted {
		counted[k] = spread(local, wide[k], f.films[i].Curve.At(float64(wide[k])/65535))
	}
	return counted, nil
}

// count counts the ink of film i in each proof pixel, 0..65535.
func (f *filmed) count(ctx context.Context, i int) ([]uint16, error) {
	src, err := f.open(i)
	if err != nil {
		return nil, err
	}
	out := make([]uint16, f.width*f.height)
	row, sums := make([]uint64, (f.box[0]+63)/64), make([]int, f.width)
	for y := range f.height {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		y0, y1 := span(y, f.height, f.box[1])
		clear(sums)
		for range y1 - y0 {
			if err := src.next(row); err != nil {
				return nil, err
			}
			for x := range sums {
				x0, x1 := span(x, f.width, f.box[0])
				sums[x] += raster.CountBits(row, x0, x1)
			}
		}
		for x, n := range sums {
			x0, x1 := span(x, f.width, f.box[0])
			area := (x1 - x0) * (y1 - y0)
			out[y*f.width+x] = uint16((n*65535 + area/2) / area)
		}
	}
	return out, nil
}

// spread is the coverage of a pixel once its plate has grown from wide, the tone about it, to grown: what is bare there
// closes by the share by which all that is bare about it closes, and what is inked wears by the like share where a
// curve falls. So solids and bare cloth stay as they are, edges stay sharp and the mean is the curve's.
func spread(local, wide uint16, grown float64) uint16 {
	tone := float64(wide) / 65535
	a := float64(local) / 65535
	switch {
	case grown >= tone && wide < 65535:
		a = 1 - float64((1-a)*((1-grown)/(1-tone)))
	case grown < tone:
		a *= grown / tone
	}
	return uint16(float64(min(max(a, 0), 1)*65535) + 0.5)
}

// bell is one half of a Gaussian from its middle on, in weights of 1/65536 that sum to a whole with the other half.
func bell(sigma float64) []uint32 {
	reach := int(math.Ceil(3 * sigma))
	w, sum := make([]float64, reach+1), 0.0
	for k := range w {
		w[k] = 1
		if sigma > 0 {
			w[k] = math.Exp(-float64(k*k) / (2 * sigma * sigma))
		}
		sum += w[k]
		if k > 0 {
			sum += w[k]
		}
	}
	out, rest := make([]uint32, reach+1), uint32(1<<16)
	for k := reach; k > 0; k-- {
		out[k] = uint32(float64(w[k]/sum*65536) + 0.5)
		rest -= 2 * out[k]
	}
	out[0] = rest
	return out
}

// blurred runs the weights over the picture, across then down; past its edges the nearest pixel counts on.
func blurred(src []uint16, w, h int, weights [2][]uint32) []uint16 {
	across, out := make([]uint16, len(src)), make([]uint16, len(src))
	for y := range h {
		line(across[y*w:(y+1)*w], src[y*w:(y+1)*w], 1, weights[0])
	}
	for x := range w {
		line(out[x:], across[x:], w, weights[1])
	}
	return out
}

// line blurs the pixels 0, step, 2 step ... of a slice.
func line(dst, src []uint16, step int, weights []uint32) {
	n := (len(src) + step - 1) / step
	for i := range n {
		sum := uint32(src[i*step])*weights[0] + 1<<15
		for k := 1; k < len(weights); k++ {
			sum += (uint32(src[max(i-k, 0)*step]) + uint32(src[min(i+k, n-1)*step])) * weights[k]
		}
		dst[i*step] = uint16(sum >> 16)
	}
}
