package artwork

import (
	"image/color"
	"math"
	"testing"
)

// TestAFadeIsKnownByItsAlpha: laid over a garment, the bins of a colour that fades out spread as its pixels do. One bin
// of the mean alpha would look the same everywhere.
func TestAFadeIsKnownByItsAlpha(t *testing.T) {
	const garment = 232.0
	m := painted(512, 64, func(x, y int) color.NRGBA { return color.NRGBA{230, 40, 20, uint8(x / 2)} })
	laid := func(v, alpha float64) float64 { return v*alpha + garment*(1-alpha) }
	want, n := 0.0, 0.0 // mean squared distance from the garment in red's complement, of the pixels themselves
	for i := 0; i < len(m.Pix); i += 4 {
		if m.Pix[i+3] > 0 {
			want, n = want+math.Pow(laid(40, float64(m.Pix[i+3])/255)-garment, 2), n+1
		}
	}
	d := inspected(t, m).Digest
	got, share := 0.0, 0.0
	for _, b := range d.Bins {
		got, share = got+b.Share*math.Pow(laid(b.RGB[1], b.Alpha)-garment, 2), share+b.Share
	}
	want, got = math.Sqrt(want/n), math.Sqrt(got/share)
	if math.Abs(got-want) > 1 { // an eighth wide, bins lose 0.8 % of the spread
		t.Errorf("the bins spread by %.2f codes, the pixels by %.2f", got, want)
	}
	if len(d.Bins) > 9 {
		t.Errorf("%d bins of one colour", len(d.Bins))
	}
}

// TestBinsJoinTheirOwnKind: past the limit cells join coarser ones, never those of another alpha class.
func TestBinsJoinTheirOwnKind(t *testing.T) {
	for _, bits := range []int{1, 2, 3} {
		for i := range cells {
			p := parentOf(i, bits)
			if parentOf(p, bits) != p || p > i || (p < opaqueCells) != (i < opaqueCells) {
				t.Fatalf("cell %d joins %d", i, p)
			}
			if i >= opaqueCells && (p-opaqueCells)>>12 != (i-opaqueCells)>>12 {
				t.Fatalf("cell %d of another alpha joins %d", i, p)
			}
		}
	}
	noise := painted(400, 400, func(x, y int) color.NRGBA {
		i := uint32(x*400+y) * 2654435761
		return color.NRGBA{uint8(i >> 24), uint8(i >> 16), uint8(i >> 8), uint8(i>>4) | 1}
	})
	if n := len(inspected(t, noise).Digest.Bins); n > maxBins || n < maxBins/8 {
		t.Errorf("%d bins", n)
	}
}
