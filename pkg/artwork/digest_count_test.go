package artwork

import (
	"math/rand/v2"
	"reflect"
	"testing"
)

// TestCountingIsThatOfTheDefinition counts pictures of noise, of flat colour (more in one cell than fine holds) and of
// clear and half clear pixels, and compares with each pixel looked at by itself.
func TestCountingIsThatOfTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for _, size := range [][2]int{{1, 1}, {1, 9}, {9, 1}, {2, 2}, {150, 90}, {401, 203}} {
		img := &Image{Width: size[0], Height: size[1], Pix: make([]uint8, 4*size[0]*size[1])}
		for i := 0; i < len(img.Pix); i += 4 {
			p := img.Pix[i : i+4]
			switch y := i / 4 / img.Width; {
			case y < img.Height/3: // flat, and nearly so
				p[0], p[1], p[2], p[3] = 200, 30, uint8(40+r.IntN(5)*r.IntN(2)), 255
			case y < img.Height*2/3:
				p[0], p[1], p[2], p[3] = uint8(r.IntN(256)), uint8(r.IntN(8)), uint8(r.IntN(256)), 255
			default:
				p[0], p[1], p[2], p[3] = uint8(r.IntN(4)), 90, 7, [4]uint8{0, 255, 128, 131}[r.IntN(4)]
			}
		}
		digest, err := digestOf(t.Context(), img)
		if err != nil {
			t.Fatal(err)
		}
		total, transparent := make([]tally, cells), uint64(0)
		for i := range img.Width * img.Height {
			p := img.Pix[4*i : 4*i+4]
			if p[3] == 0 {
				transparent++
				continue
			}
			total[binOf(p)].count(p, stillByDefinition(img, i%img.Width, i/img.Width))
		}
		if want := makeDigest(total, transparent, uint64(img.Width*img.Height)); !reflect.DeepEqual(digest, want) {
			t.Errorf("%d x %d: the digest differs from the definition's", img.Width, img.Height)
		}
	}
}

// stillByDefinition is 1 where no channel of the four neighbours differs by more than stillTolerance, else 0.
func stillByDefinition(img *Image, x, y int) uint64 {
	for _, step := range [4][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
		nx, ny := x+step[0], y+step[1]
		if nx < 0 || ny < 0 || nx == img.Width || ny == img.Height {
			continue
		}
		for c := range 4 {
			d := int(img.Pix[4*(y*img.Width+x)+c]) - int(img.Pix[4*(ny*img.Width+nx)+c])
			if d > stillTolerance || d < -stillTolerance {
				return 0
			}
		}
	}
	return 1
}
