package raster

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// blots is a plane of bare and solid areas with soft edges here and there.
func blots(r *rand.Rand, width, height int) *Plane {
	p := NewPlane(width, height)
	for range 1 + r.IntN(6) {
		x0, y0, w, h := r.IntN(width), r.IntN(height), 1+r.IntN(width), 1+r.IntN(height)
		v := uint8([3]int{255, 255, r.IntN(256)}[r.IntN(3)])
		for y := y0; y < min(y0+h, height); y++ {
			for x := x0; x < min(x0+w, width); x++ {
				p.Pix[y*width+x] = v
			}
		}
	}
	return p
}

// nearSure is a plane of tones about those that are taken as sure, with the worst neighbours they can have.
func nearSure(r *rand.Rand, width, height int) *Plane {
	p, about := NewPlane(width, height), [2]int{sureBare, sureSolid}[r.IntN(2)]
	for i := range p.Pix {
		p.Pix[i] = uint8([4]int{about - 1, about, about + r.IntN(3) - 1, [2]int{0, 255}[r.IntN(2)]}[r.IntN(3+r.IntN(2))])
	}
	return p
}

func TestContourIsTheDefinitionPixelForPixel(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for n := range 400 {
		p := blots(r, 1+r.IntN(40), 1+r.IntN(12))
		if n%2 == 1 {
			p = nearSure(r, 1+r.IntN(40), 1+r.IntN(12))
		}
		w, h := 1+r.IntN(150), 1+r.IntN(60)
		across := NewAxis(p.Width, w, float64(w)+r.Float64()-0.5, 1, 0)
		down := NewAxis(p.Height, h, float64(h), 1, 0)
		c := NewContour(p, across, down)
		x0 := r.IntN(70)
		for i := range h {
			got, want := make([]uint64, 5), make([]uint64, 5)
			c.Row(got, x0, i)
			for x := range w {
				v := p.CubicAt(int(across.Index[x]), int(down.Index[i]), CubicWeights(int(across.Weight[x])),
					CubicWeights(int(down.Weight[i])))
				if v >= CubicHalf {
					want[(x0+x)>>6] |= 1 << ((x0 + x) & 63)
				}
			}
			if !slices.Equal(got, want) {
				t.Fatalf("plane %d x %d to %d x %d, row %d differs from the definition", p.Width, p.Height, w, h, i)
			}
		}
	}
}

// cut makes the whole contour of a plane, scaled by k.
func cut(p *Plane, k int) *Bitmap {
	b := NewBitmap(p.Width*k, p.Height*k)
	across := NewAxis(p.Width, b.Width, float64(b.Width), 1, 0)
	c := NewContour(p, across, NewAxis(p.Height, b.Height, float64(b.Height), 1, 0))
	for y := range b.Height {
		c.Row(b.Row(y), 0, y)
	}
	return b
}

// disk draws a disk with its edge pixels covered in part, as artwork has it (16 x 16 samples a pixel).
func disk(size int, cx, cy, radius float64) *Plane {
	p := NewPlane(size, size)
	for y := range size {
		for x := range size {
			n := 0
			for s := range 256 {
				dx := float64(x) + (float64(s&15)+0.5)/16 - cx
				dy := float64(y) + (float64(s>>4)+0.5)/16 - cy
				if dx*dx+dy*dy <= radius*radius {
					n++
				}
			}
			p.Pix[y*size+x] = uint8((n*255 + 128) / 256)
		}
	}
	return p
}

func TestContourOfADiskIsRound(t *testing.T) {
	const k, size, radius = 5, 60, 22.3
	b := cut(disk(size, 30.2, 29.6, radius), k)
	worst, sum, n := 0.0, 0.0, 0
	for y := range b.Height {
		for x := range b.Width - 1 {
			if b.At(x, y) == b.At(x+1, y) {
				continue
			}
			ex, ey := float64(x+1)/k-30.2, (float64(y)+0.5)/k-29.6
			if math.Abs(ex) < math.Abs(ey) { // along the top and the bottom the change across says little
				continue
			}
			want := math.Sqrt(radius*radius - ey*ey)
			off := math.Abs(math.Abs(ex) - want)
			worst, sum, n = max(worst, off), sum+off, n+1
		}
	}
	mean := sum / float64(n)
	t.Logf("off the true circle by %.3f source px at most, %.3f on average over %d edges", worst, mean, n)
	if worst > 0.2 || mean > 0.1 { // half a device pixel is 0.1 source px here
		t.Errorf("worst %.3f (tolerance 0.2), mean %.3f (tolerance 0.1) source px", worst, mean)
	}
}

func TestContourKeepsAStrokeOfOneSourcePixel(t *testing.T) {
	p := NewPlane(21, 21)
	for i := range 21 {
		p.Pix[i*21+10] = 255 // upright
	}
	b := cut(p, 6)
	for y := range b.Height {
		if n := CountBits(b.Row(y), 0, b.Width); n < 5 || n > 7 {
			t.Fatalf("row %d of the stroke is %d device px wide, want 6 (tolerance 1)", y, n)
		}
	}
}
