package film

import (
	"math"
	"math/rand/v2"
	"testing"

	"tamis/pkg/raster"
	"tamis/pkg/separate"
)

// mosaic is a picture of random cells, three colours and, where bare is wanted, nothing.
func mosaic(rng *rand.Rand, size float64, bare bool) func(x, y float64) paint {
	type seed struct {
		x, y float64
		p    paint
	}
	paints := []paint{redArt, goldArt, navyArt, bareNone}
	var seeds []seed
	for i := range 40 {
		n := 3
		if bare {
			n = 4
		}
		seeds = append(seeds, seed{rng.Float64() * size, rng.Float64() * size, paints[i%n]})
	}
	return func(x, y float64) paint {
		best, p := math.Inf(1), bareNone
		for _, s := range seeds {
			if d := (x-s.x)*(x-s.x) + (y-s.y)*(y-s.y); d < best {
				best, p = d, s.p
			}
		}
		return p
	}
}

// inkCounts counts, over the print, the pixels that hold no colour ink, one, and more.
func inkCounts(bits []*raster.Bitmap, skip int) (counts [3]int) {
	for y := range bits[0].Height {
		for x := range bits[0].Width {
			n := 0
			for k, b := range bits {
				if k != skip && b.At(x, y) {
					n++
				}
			}
			counts[min(n, 2)]++
		}
	}
	return counts
}

func TestWhereColoursMeetNoPixelIsBareAndNoneHasTwoInks(t *testing.T) {
	for _, device := range [][2]float64{{1440, 1440}, {1440, 720}, {600, 600}, {200, 200}} {
		for seed := range uint64(4) {
			const size = 160
			img := drawn(size, size, mosaic(rand.New(rand.NewPCG(seed, 1)), size, false))
			j := cutJob{ppi: 300, xDPI: device[0], yDPI: device[1], garment: "#17181a", chokeMM: 0.1,
				underbase: separate.UnderbaseOn}
			r, bits := j.films(t, img)
			if r.Plates[0].Role != separate.Underbase || len(bits) != 4 {
				t.Fatalf("%d plates", len(bits))
			}
			if c := inkCounts(bits, 0); c[0] != 0 || c[2] != 0 {
				t.Errorf("%g x %g dpi, mosaic %d: %d pixels without colour, %d with two, %d with one", device[0], device[1],
					seed, c[0], c[2], c[1])
			}
			for y := range bits[0].Height {
				for x := range bits[0].Width {
					if !bits[0].At(x, y) {
						t.Fatalf("no underbase at %d, %d, in the midst of colour", x, y)
					}
				}
			}
		}
	}
}

func TestTrapsOverlapAlongBordersOnlyAndLeaveNothingBare(t *testing.T) {
	const size, trapMM, xDPI, yDPI = 160, 0.12, 1440.0, 720.0
	for seed := range uint64(3) {
		at := mosaic(rand.New(rand.NewPCG(seed, 2)), size, true)
		img := drawn(size, size, at)
		j := cutJob{ppi: 300, xDPI: xDPI, yDPI: yDPI, garment: "#ffffff", underbase: separate.UnderbaseOff}
		_, plain := j.films(t, img)
		j.trapMM = trapMM
		_, bits := j.films(t, img)
		far := [3]int{}
		for k, b := range bits {
			dark := raster.NewBitmap(b.Width, b.Height) // what is darker than this plate
			for y := range b.Height {
				for x := range b.Width {
					for d := k + 1; d < len(bits); d++ {
						dark.Set(x, y, dark.At(x, y) || plain[d].At(x, y))
					}
					switch {
					case plain[k].At(x, y) && !b.At(x, y):
						far[0]++
					case b.At(x, y) && !plain[k].At(x, y) && !dark.At(x, y):
						far[1]++
					}
				}
			}
			far[2] += beyond(b, plain[k], trapMM, 25.4/xDPI, 25.4/yDPI)
		}
		if far != [3]int{} {
			t.Errorf("mosaic %d: trapping took %d pixels from plates, put %d where nothing darker prints, %d out of reach",
				seed, far[0], far[1], far[2])
		}
	}
}

// beyond counts the ink of b that lies farther than a device pixel outside the reach of was.
func beyond(b, was *raster.Bitmap, reachMM, pitchX, pitchY float64) int {
	p := raster.NewPlane(was.Width, was.Height)
	for i := range p.Pix {
		if was.At(i%was.Width, i/was.Width) {
			p.Pix[i] = 255
		}
	}
	n := 0
	for i, d := range raster.Distance(p, pitchX, pitchY) {
		if b.At(i%b.Width, i/b.Width) && float64(d) > reachMM+1.5*max(pitchX, pitchY) {
			n++
		}
	}
	return n
}
