package artwork

import (
	"math/rand/v2"
	"testing"
)

// TestMainColoursOfANoisyPictureAreAllOfIt: half the picture is noise about red, half about blue; no pixel is still.
func TestMainColoursOfANoisyPictureAreAllOfIt(t *testing.T) {
	const size = 120
	img := &Image{Width: size, Height: size, Pix: make([]uint8, 4*size*size)}
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range size * size {
		r, b := 200, 40
		if i%size >= size/2 {
			r, b = 40, 200
		}
		img.Pix[4*i], img.Pix[4*i+1], img.Pix[4*i+2] = uint8(r+rng.IntN(50)), uint8(rng.IntN(50)), uint8(b+rng.IntN(50))
		img.Pix[4*i+3] = 255
	}
	insp, err := Inspect(t.Context(), img)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, c := range insp.Colors {
		sum += c.Share
	}
	if len(insp.Colors) < 2 || sum < 0.99 || sum > 1.01 || insp.Colors[0].Share > 0.6 {
		t.Errorf("%s: %+v, shares sum to %.3f", insp.Kind, insp.Colors, sum)
	}
}
