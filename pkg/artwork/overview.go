package artwork

import (
	"context"

	"tamis/pkg/color"
)

// Overview is the artwork from afar: a grid of cells with what a quote says about places, for it has no pixels.
//
// Cells run in rows from the top. Mean holds 4 bytes a cell (straight sRGB and alpha), Vivid 3 (the most saturated
// colour, so that small signs are not averaged away), Lines 7 a cell and kind: thinnest line, how far lines hardly
// thicker go, colour, smallest speck, how many are hardly larger; widths in quarter pixels of the artwork, 0 none.
// Named holds 2 a cell: bit i where main colour i is found, in flat art.
type Overview struct {
	Columns int    `json:"columns"`
	Rows    int    `json:"rows"`
	Mean    Packed `json:"mean"`
	Vivid   Packed `json:"vivid"`
	Lines   Packed `json:"lines"`
	Named   Packed `json:"named"`
}

// overviewCells is the most cells along the longer side. Ours: 6 mm of a print of 300 mm, 30 kB in the document.
const overviewCells = 48

// lineBytes is what Lines holds a cell and kind.
const lineBytes = 7

// overviewOf looks at the picture and at its preview: colours come from the preview, where a pixel is already what an
// eye makes of it, lines from the pixels. Soft art has no lines: what looks like one there is texture.
func overviewOf(ctx context.Context, img, preview *Image, kind Kind, colors []ColorShare) (*Overview, error) {
	long := max(img.Width, img.Height)
	n := min(overviewCells, long)
	o := &Overview{Columns: max(1, img.Width*n/long), Rows: max(1, img.Height*n/long)}
	o.paint(preview)
	o.name(preview, kind, colors)
	o.Lines = make(Packed, lineBytes*int(LineKinds)*o.Columns*o.Rows)
	if kind == Continuous {
		return o, nil
	}
	lines, err := linesOf(ctx, img, o, viewOf(kind, colors))
	if err != nil {
		return nil, err
	}
	for i := range lines.cells {
		for k := range lines.cells[i] {
			copy(o.Lines[lineBytes*(int(LineKinds)*i+k):], lines.cells[i][k].bytes())
		}
	}
	return o, nil
}

// paint fills Mean and Vivid.
func (o *Overview) paint(preview *Image) {
	o.Mean = Packed(preview.Resampled(o.Columns, o.Rows).Pix)
	o.Vivid = make(Packed, 3*o.Columns*o.Rows)
	for i := range o.Columns * o.Rows {
		best := -1
		o.each(i, preview, func(p []uint8) {
			if s := int(max(p[0], p[1], p[2])) - int(min(p[0], p[1], p[2])); p[3] >= 128 && s > best {
				best = s
				copy(o.Vivid[3*i:], p[:3])
			}
		})
	}
}

// sameColor is how far a pixel may be from a main colour and still be it, in OKLab: a blend at an edge is farther.
const sameColor = 0.02

// name fills Named.
func (o *Overview) name(preview *Image, kind Kind, colors []ColorShare) {
	o.Named = make(Packed, 2*o.Columns*o.Rows)
	if kind != Flat {
		return
	}
	var labs []color.OKLab
	for _, c := range colors {
		if rgb, err := color.ParseHex(c.Hex); err == nil {
			labs = append(labs, rgb.OKLab())
		}
	}
	seen := map[color.RGB8]int{}
	for i := range o.Columns * o.Rows {
		o.each(i, preview, func(p []uint8) {
			rgb := color.RGB8{R: p[0], G: p[1], B: p[2]}
			at, ok := seen[rgb]
			if !ok {
				near, off := rgb.OKLab().Nearest(labs)
				if at = near; off > sameColor {
					at = -1
				}
				seen[rgb] = at
			}
			if at >= 0 && p[3] >= 128 {
				o.Named[2*i+at/8] |= 1 << (at % 8)
			}
		})
	}
}

// each calls look for every pixel of a picture in cell i.
func (o *Overview) each(i int, m *Image, look func(p []uint8)) {
	b := o.Box(i, m.Width, m.Height)
	for y := b[1]; y < b[3]; y++ {
		for row := m.Pix[4*(y*m.Width+b[0]) : 4*(y*m.Width+b[2])]; len(row) >= 4; row = row[4:] {
			look(row[:4])
		}
	}
}

// Cells is how many cells there are.
func (o *Overview) Cells() int { return o.Columns * o.Rows }

// Box is cell i in pixels of a picture of that size.
func (o *Overview) Box(i, width, height int) Box {
	x0, x1 := span(i%o.Columns, o.Columns, width)
	y0, y1 := span(i/o.Columns, o.Rows, height)
	return Box{x0, y0, x1, y1}
}

// cellOf is the cell of n over size pixels that a pixel lies in: the one span gives it to.
func cellOf(pixel, n, size int) int { return ((pixel+1)*n - 1) / size }

// At is the cell of a pixel of a picture of that size.
func (o *Overview) At(x, y, width, height int) int {
	return cellOf(y, o.Rows, height)*o.Columns + cellOf(x, o.Columns, width)
}

// MeanColor is the mean of cell i, and its alpha 0..1.
func (o *Overview) MeanColor(i int) (rgb color.RGB8, alpha float64) {
	p := o.Mean[4*i:]
	return color.RGB8{R: p[0], G: p[1], B: p[2]}, float64(p[3]) / 255
}

// VividColor is the most saturated colour of cell i; of clear cells it is black.
func (o *Overview) VividColor(i int) color.RGB8 {
	p := o.Vivid[3*i:]
	return color.RGB8{R: p[0], G: p[1], B: p[2]}
}

// Has tells whether the inspection's n-th main colour is found in cell i.
func (o *Overview) Has(i, n int) bool { return n < 16 && o.Named[2*i+n/8]>>(n%8)&1 != 0 }

// Line is what a cell has of one kind: its thinnest line and its smallest speck, in pixels of the artwork, 0 none; how
// far lines and how many specks there are of that size or hardly larger, 255 standing for more.
type Line struct {
	WidthPX, LengthPX float64
	Color             color.RGB8
	SpeckPX           float64
	Specks            int
}

// Line is cell i's lines of a kind.
func (o *Overview) Line(i int, kind LineKind) Line {
	p := o.Lines[lineBytes*(int(LineKinds)*i+int(kind)):]
	return Line{WidthPX: float64(p[0]) / 4, LengthPX: float64(p[1]), Color: color.RGB8{R: p[2], G: p[3], B: p[4]},
		SpeckPX: float64(p[5]) / 4, Specks: int(p[6])}
}
