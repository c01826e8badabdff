package proof

import (
	"math"

	"tamis/pkg/color"
)

// viewMM is how far off a print is looked at where the caller says nothing: a shirt in the hand.
const viewMM = 400

// eyeSigma is the width of the eye's blur in minutes of arc. Source: an eye of acuity 1.0 tells gaps of one minute
// (ISO 8596), 60 pixels a degree; Ours: a Gaussian of half that leaves a grating of two minutes, the finest it tells,
// with 29 % of its contrast, and one of one minute with less than 1 %.
const eyeSigma = 0.5

// softened averages the light to what an eye at viewMM holds apart. Proof pixels larger than that do it themselves.
// The light is blurred, not the code values: dots mix as they do on cloth.
func softened(light []color.XYZ, w, h int, stepMM [2]float64, viewMM float64) []color.XYZ {
	minuteMM := viewMM * math.Pi / 180 / 60
	var weights [2][]uint32
	for axis := range 2 {
		pixel := stepMM[axis] / math.Sqrt(12) // the blur a pixel is by itself
		eye := eyeSigma * minuteMM
		if eye <= pixel {
			return light
		}
		weights[axis] = bell(math.Sqrt(float64(eye*eye)-float64(pixel*pixel)) / stepMM[axis])
	}
	across, out := make([]color.XYZ, len(light)), make([]color.XYZ, len(light))
	for y := range h {
		lightLine(across[y*w:(y+1)*w], light[y*w:(y+1)*w], 1, weights[0])
	}
	for x := range w {
		lightLine(out[x:], across[x:], w, weights[1])
	}
	return out
}

// lightLine blurs the pixels 0, step, 2 step ... of a slice; past its ends the nearest counts on.
func lightLine(dst, src []color.XYZ, step int, weights []uint32) {
	n := (len(src) + step - 1) / step
	for i := range n {
		var sum color.XYZ
		add := func(at int, weight uint32) {
			v, w := &src[min(max(at, 0), n-1)*step], float64(weight)/65536
			sum.X += float64(w * v.X)
			sum.Y += float64(w * v.Y)
			sum.Z += float64(w * v.Z)
		}
		add(i, weights[0])
		for k := 1; k < len(weights); k++ {
			add(i-k, weights[k])
			add(i+k, weights[k])
		}
		dst[i*step] = sum
	}
}
