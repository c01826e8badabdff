package artwork

import (
	"encoding/binary"

	"tamis/pkg/color"
)

// view is how the search for lines sees the picture: colours as one tone each, in which a line stands out from its
// ground, and whether lines count only on ground that lies still: art with tones is full of texture.
type view struct {
	weights [3]int // eighths of a code of red, green, blue
	offset  int
	still   bool
}

// tone is 1..255. Two colours of one tone are one to the view: a line between them is not seen.
func (v view) tone(p []uint8) int {
	return min(255, max(1, v.offset+(v.weights[0]*int(p[0])+v.weights[1]*int(p[1])+v.weights[2]*int(p[2]))>>3))
}

// row writes the tones of a row of pixels, and their alphas where asked for, each step further on; tone 0 where alpha
// is below half. Runs of one colour, most of flat art, are found two pixels at a time.
func (v view) row(row, tone, alpha []uint8, step int) {
	n := len(row) / 4
	for i := 0; i < n; {
		p := row[4*i : 4*i+4 : 4*i+4]
		one := binary.LittleEndian.Uint32(p)
		two := uint64(one)<<32 | uint64(one)
		j := i + 1
		for j+2 <= n && binary.LittleEndian.Uint64(row[4*j:]) == two {
			j += 2
		}
		if j < n && binary.LittleEndian.Uint32(row[4*j:]) == one {
			j++
		}
		t := uint8(0)
		if p[3] >= 128 {
			t = uint8(v.tone(p))
		}
		for k := i; k < j; k++ {
			tone[k*step] = t
		}
		if alpha != nil {
			for k := i; k < j; k++ {
				alpha[k*step] = p[3]
			}
		}
		i = j
	}
}

// brightness is how the eye sees codes: the view of art whose colours are not few.
func brightness() view { return view{weights: [3]int{2, 5, 1}} }

// apartEnough is the difference in tone past which farther is no better.
const apartEnough = 64

// viewOf sees flat art in the tones that keep its main colours farthest apart: red and navy, or red and green, are
// alike in brightness. Ours; TestALineIsSeenBetweenColoursOfOneBrightness holds it.
func viewOf(kind Kind, colors []ColorShare) view {
	best, most := brightness(), -1
	for _, w := range [][4]int{{2, 5, 1, 0}, {4, 3, 1, 0}, {1, 3, 4, 0}, {5, 2, 1, 0}, {2, 1, 5, 0}, {5, -3, 0, 96},
		{-3, 5, 0, 96}, {0, 5, -3, 96}, {0, -3, 5, 96}, {5, 0, -3, 96}, {-3, 0, 5, 96}} {
		v := view{weights: [3]int(w[:3]), offset: w[3]}
		if apart := v.apart(colors); kind == Flat && apart > most {
			best, most = v, apart
		}
	}
	best.still = kind != Flat
	return best
}

// apart adds up how far all pairs of colours are from one another in tone, each as far as it matters.
func (v view) apart(colors []ColorShare) int {
	sum := 0
	var tones []int
	for _, c := range colors {
		rgb, _ := color.ParseHex(c.Hex) // an inspection names its colours well
		t := v.tone([]uint8{rgb.R, rgb.G, rgb.B})
		for _, u := range tones {
			sum += min(max(t-u, u-t), apartEnough)
		}
		tones = append(tones, t)
	}
	return sum
}
