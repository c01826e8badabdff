package artwork

import (
	"context"

	"tamis/pkg/color"
	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/pages"
)

// Resampled is the picture at width x height by area averaging in linear light, weighted by alpha: what an eye (or a
// dot of that size) makes of it. It also enlarges, as blocks.
func (m *Image) Resampled(width, height int) *Image {
	out, _ := m.ResampledWithin(context.Background(), width, height)
	return out
}

// ResampledWithin is Resampled, or nothing and the fault where ctx ends; it is asked every row.
func (m *Image) ResampledWithin(ctx context.Context, width, height int) (*Image, error) {
	out := &Image{
		Width:    width,
		Height:   height,
		HasAlpha: m.HasAlpha,
		PPI:      m.PPI,
		Pix:      pages.Make[uint8](4 * width * height),
	}
	out.PPI *= float64(width) / float64(m.Width)
	decode, encode := lightCodes(), color.NewEncoder()
	err := cores.TryRanges(height, func(y0, y1 int) error {
		for y := y0; y < y1; y++ {
			if ctx.Err() != nil {
				return fault.Wrap(ctx.Err(), fault.Canceled, "canceled", "the work was cancelled")
			}
			m.resampleRow(out, y, decode, encode)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// lightCodes is the sRGB curve as whole numbers 0..65535, so that sums do not depend on their order.
func lightCodes() *[256]uint64 {
	var t [256]uint64
	for i, v := range color.DecodeTable() {
		t[i] = uint64(float64(v*65535) + 0.5)
	}
	return &t
}

// resampleRow fills one row of out. Each source pixel counts where its centre falls; a cell always has at least one.
func (m *Image) resampleRow(out *Image, y int, decode *[256]uint64, encode *color.Encoder) {
	sy0, sy1 := span(y, out.Height, m.Height)
	for x := range out.Width {
		sx0, sx1 := span(x, out.Width, m.Width)
		var c cellSum
		for sy := sy0; sy < sy1; sy++ {
			row := m.Pix[4*(sy*m.Width+sx0) : 4*(sy*m.Width+sx1)]
			c.add(row, decode)
		}
		c.put(out.Pix[4*(y*out.Width+x):][:4], encode)
	}
}

// cellSum adds up n pixels: their light times their alpha, and their alpha.
type cellSum struct {
	r, g, b, alpha, n uint64
}

func (s *cellSum) add(row []uint8, decode *[256]uint64) {
	for ; len(row) >= 4; row = row[4:] {
		a := uint64(row[3])
		s.r += decode[row[0]] * a
		s.g += decode[row[1]] * a
		s.b += decode[row[2]] * a
		s.alpha += a
		s.n++
	}
}

// put writes the mean.
func (s *cellSum) put(dst []uint8, encode *color.Encoder) {
	if s.alpha == 0 {
		return
	}
	mean := func(v uint64) float64 { return float64(v) / float64(s.alpha) / 65535 }
	c := encode.RGB8(color.Linear{R: mean(s.r), G: mean(s.g), B: mean(s.b)})
	dst[0], dst[1], dst[2], dst[3] = c.R, c.G, c.B, uint8((s.alpha+s.n/2)/s.n)
}

// span is the source range of cell i of n over size pixels: never empty.
func span(i, n, size int) (from, to int) {
	from, to = i*size/n, (i+1)*size/n
	return from, max(to, from+1)
}
