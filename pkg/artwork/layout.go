package artwork

import (
	"bytes"
	"fmt"
	"image"
	"image/png"

	"tamis/pkg/fault"
)

// box is a rectangle of pixels, x1 and y1 outside.
type box struct{ x0, y0, x1, y1 int }

// layoutFindings looks at where the ink stands: an empty border, and a white box that was meant to be transparent.
func layoutFindings(img *Image, d *Digest) []Finding {
	found := []Finding{}
	if d.Transparent == 1 {
		return append(
			found,
			Finding{"artwork_empty", Warning, "every pixel of the artwork is transparent: nothing will print"},
		)
	}
	if b := inkedBox(img); float64((b.x1-b.x0)*(b.y1-b.y0)) < 0.9*float64(img.Width*img.Height) {
		found = append(found, Finding{"empty_border", Info, fmt.Sprintf(
			"the artwork fills %d x %d of its %d x %d pixels; the print size counts the empty border",
			b.x1-b.x0, b.y1-b.y0, img.Width, img.Height)})
	}
	if d.Transparent == 0 && whiteBorder(img) {
		found = append(found, Finding{"white_box", Warning,
			"the artwork stands on a white box: on a coloured garment the box will print; " +
				"save it with transparency if not wanted"})
	}
	return found
}

// inkedBox is the smallest box about all pixels that are not transparent; empty art gives an empty box.
func inkedBox(img *Image) box {
	b := box{img.Width, img.Height, 0, 0}
	for y := range img.Height {
		row := img.Pix[4*y*img.Width : 4*(y+1)*img.Width]
		for x := range img.Width {
			if row[4*x+3] == 0 {
				continue
			}
			b.x0, b.x1 = min(b.x0, x), max(b.x1, x+1)
			b.y0, b.y1 = min(b.y0, y), y+1
		}
	}
	if b.x1 == 0 {
		return box{}
	}
	return b
}

// whiteBorder tells opaque art whose outermost pixels are all (99 %) near white.
func whiteBorder(img *Image) bool {
	white, all := 0, 0
	look := func(x, y int) {
		p := img.Pix[4*(y*img.Width+x):][:4]
		all++
		if p[3] == 255 && min(p[0], p[1], p[2]) >= 250 {
			white++
		}
	}
	for x := range img.Width {
		look(x, 0)
		look(x, img.Height-1)
	}
	for y := range img.Height {
		look(0, y)
		look(img.Width-1, y)
	}
	return float64(white) >= 0.99*float64(all)
}

// previewPX is the longest side of the stored preview.
const previewPX = 400

// previewOf averages areas down to previewPX and packs the result as PNG.
func previewOf(img *Image) ([]byte, error) {
	small := img.Reduced(previewPX)
	out := &image.NRGBA{
		Pix:    small.Pix,
		Stride: 4 * small.Width,
		Rect:   image.Rect(0, 0, small.Width, small.Height),
	}
	var buf bytes.Buffer
	if err := png.Encode(&buf, out); err != nil {
		return nil, fault.Wrap(err, fault.Internal, "preview", "the preview cannot be packed")
	}
	return buf.Bytes(), nil
}

// Reduced is the picture area-averaged so that neither side is longer than maxPX; the picture itself where it is
// small enough. Colours are averaged in linear light, weighted by alpha.
func (m *Image) Reduced(maxPX int) *Image {
	long := max(m.Width, m.Height)
	if long <= maxPX {
		return m
	}
	w, h := max(1, m.Width*maxPX/long), max(1, m.Height*maxPX/long)
	return m.Resampled(w, h)
}
