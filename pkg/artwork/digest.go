package artwork

import (
	"context"
	"math"
	"sort"
	"sync"

	"tamis/pkg/color"
	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/pages"
)

// Digest is the colour digest: a histogram of the artwork, coarse enough to store and fine enough to plan from.
type Digest struct {
	Bins        []Bin   `json:"bins"`        // by falling share, then colour
	Transparent float64 `json:"transparent"` // share of pixels with alpha 0
	Still       float64 `json:"still"`       // share of the other pixels that equal their neighbours
}

// Bin is a group of like colours of one alpha class: opaque, or an eighth of the way there.
type Bin struct {
	RGB   [3]float64 `json:"rgb"`            // mean sRGB code 0..255, weighted by alpha
	Alpha float64    `json:"alpha"`          // mean 0..1; 1 in bins of opaque pixels
	Share float64    `json:"share"`          // of all pixels
	Still float64    `json:"still,omitzero"` // share of all pixels: those in this bin that equal their neighbours
	// StillRGB is the mean of those: in flat art the exact colour, free of blended edges.
	StillRGB [3]float64 `json:"still_rgb,omitzero"`
}

// Color is the bin's mean colour.
func (b Bin) Color() color.RGB8 { return rounded(b.RGB) }

// StillColor is the mean colour of the bin's still pixels, the bin's own where it has none.
func (b Bin) StillColor() color.RGB8 {
	if b.Still == 0 {
		return b.Color()
	}
	return rounded(b.StillRGB)
}

func rounded(v [3]float64) color.RGB8 {
	return color.RGB8{R: uint8(v[0] + 0.5), G: uint8(v[1] + 0.5), B: uint8(v[2] + 0.5)}
}

// maxBins bounds the stored digest: about 600 KB of JSON, and a quote that plans from it in well under a second.
const maxBins = 4000

// tally counts one cell of the histogram, in whole numbers so that the order of adding does not matter.
type tally struct {
	n, alpha, still uint64
	rgb, stillRGB   [3]uint64 // rgb weighted by alpha
}

// Cells of the histogram: of opaque pixels 5 bits a channel; behind them, of partly transparent ones, 3 bits of alpha
// and 4 a channel. So a bin's mean laid over any garment is within 16 codes of what most of its pixels look like there;
// a finer table would leave the cache, and its bins the stored document.
//
// Ours; TestAFadeIsKnownByItsAlpha holds it.
const (
	opaqueCells = 1 << 15
	cells       = opaqueCells + 1<<15
)

// binOf is the cell of a pixel that is not transparent.
func binOf(p []uint8) int {
	if p[3] == 255 {
		return int(p[0]>>3)<<10 | int(p[1]>>3)<<5 | int(p[2]>>3)
	}
	return opaqueCells + (int(p[3]>>5)<<12 | int(p[0]>>4)<<8 | int(p[1]>>4)<<4 | int(p[2]>>4))
}

// parentOf is the first cell of those that agree with cell i but in the lowest bits of opaque pixels' channels, one bit
// less of other pixels', whose channels have one less.
func parentOf(i, bits int) int {
	if i < opaqueCells {
		mask := 0x1f &^ (1<<bits - 1)
		return i & (mask<<10 | mask<<5 | mask)
	}
	mask, j := 0xf&^(1<<(bits-1)-1), i-opaqueCells
	return opaqueCells + j&(7<<12|mask<<8|mask<<4|mask)
}

func digestOf(ctx context.Context, img *Image) (*Digest, error) {
	total, transparent := pages.Make[tally](cells), uint64(0)
	var mu sync.Mutex // guards total and transparent: whole numbers, so the order of adding does not show
	err := cores.TryRanges(img.Height, func(y0, y1 int) error {
		if !img.Await(ctx, y0+1) { // the first row is compared with the one above
			return notArrived(ctx, img)
		}
		c := newCounter(img, y0)
		for y := y0; y < y1; y++ {
			if ctx.Err() != nil || !img.Await(ctx, min(y+2, img.Height)) { // a row is compared with the one below
				return notArrived(ctx, img)
			}
			c.row(y)
		}
		c.spillAll()
		mu.Lock()
		defer mu.Unlock()
		for i := range c.tallies {
			total[i].add(&c.tallies[i])
		}
		transparent += c.transparent
		return nil
	})
	if err != nil {
		return nil, err
	}
	return makeDigest(total, transparent, uint64(img.Width)*uint64(img.Height)), nil
}

// notArrived says why rows did not come, or were not waited for.
func notArrived(ctx context.Context, img *Image) error {
	if ctx.Err() != nil {
		return fault.Wrap(ctx.Err(), fault.Canceled, "canceled", "the inspection was cancelled")
	}
	return img.Whole()
}

// count adds a pixel, and once more as still where still is 1 and not 0.
func (t *tally) count(p []uint8, still uint64) {
	a := uint64(p[3])
	t.n++
	t.alpha += a
	t.still += still
	for c := range 3 {
		t.rgb[c] += uint64(p[c]) * a
		t.stillRGB[c] += uint64(p[c]) * still
	}
}

func (t *tally) add(u *tally) {
	t.n, t.alpha, t.still = t.n+u.n, t.alpha+u.alpha, t.still+u.still
	for c := range 3 {
		t.rgb[c] += u.rgb[c]
		t.stillRGB[c] += u.stillRGB[c]
	}
}

// makeDigest turns counts into shares; past maxBins the rarest cells join their coarser parent.
func makeDigest(t []tally, transparent, pixels uint64) *Digest {
	coarsen(t)
	d := &Digest{Bins: []Bin{}, Transparent: float64(transparent) / float64(pixels)}
	var still, inked uint64
	for i := range t {
		if t[i].n == 0 {
			continue
		}
		still, inked = still+t[i].still, inked+t[i].n
		d.Bins = append(d.Bins, t[i].bin(pixels))
	}
	if inked > 0 {
		d.Still = float64(still) / float64(inked)
	}
	sort.SliceStable(d.Bins, func(i, j int) bool { return d.Bins[i].Share > d.Bins[j].Share })
	return d
}

// bin rounds to what planning needs, so that the stored document stays small.
func (t *tally) bin(pixels uint64) Bin {
	b := Bin{
		Share: rounded9(float64(t.n) / float64(pixels)), Still: rounded9(float64(t.still) / float64(pixels)),
		Alpha: math.Round(float64(t.alpha)/255/float64(t.n)*1e4) / 1e4,
	}
	for c := range 3 {
		b.RGB[c] = math.Round(float64(t.rgb[c])/float64(t.alpha)*100) / 100
		if t.still > 0 {
			b.StillRGB[c] = math.Round(float64(t.stillRGB[c])/float64(t.still)*100) / 100
		}
	}
	return b
}

func rounded9(v float64) float64 { return math.Round(v*1e9) / 1e9 }

// coarsen leaves at most maxBins cells: cells rarer than a rising threshold join the first cell of their 3-bit (in the
// end 2-bit) parent.
func coarsen(t []tally) {
	for bits, least := 2, uint64(2); occupied(t) > maxBins; least *= 2 {
		for i := range t {
			parent := parentOf(i, bits)
			if t[i].n > 0 && t[i].n < least && parent != i {
				t[parent].add(&t[i])
				t[i] = tally{}
			}
		}
		if least > 1<<20 {
			bits = 3
		}
	}
}

func occupied(t []tally) int {
	n := 0
	for i := range t {
		if t[i].n > 0 {
			n++
		}
	}
	return n
}
