// Package proof shows what a print will look like on its garment, and says how far it is from the artwork.
//
// What goes in: a recipe and its tone planes. What comes out: a picture of the print with the garment about it, and
// figures in CIEDE2000. Tones are averaged over the area of a proof pixel and put through the print model; plates of
// solid shapes and square dots are put through it pixel by pixel first, since their inks do not overlap at random.
//
// On request the picture is made from the final bits of the films instead (RenderFilms), averaged to viewing distance,
// and either with the plates out of register by so many mm. Mesh and emulsion are other packages' subjects.
//
// Source: the model is ink's.
package proof

import (
	"context"
	"image"
	"io"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/fault"
	"tamis/pkg/pages"
	"tamis/pkg/raster"
	"tamis/pkg/separate"
)

// Options say how the proof is drawn.
type Options struct {
	MaxPX       int     // longest side of the print in the proof; 0: defaultPX
	BorderShare float64 // garment on each side as a share of the longest side; 0: defaultBorder, negative: none

	// RegisterErrorMM moves every plate but the first by so much, each another way (displacement); 0: none.
	RegisterErrorMM float64
	// PrintWidthMM is the print's width: Render needs it for a register error; RenderFilms has the film's.
	PrintWidthMM float64
	// ViewMM is how far off the print is looked at, for RenderFilms; 0: viewMM.
	ViewMM float64
}

// filled puts in what was left open.
func (o Options) filled() Options {
	if o.MaxPX <= 0 {
		o.MaxPX = defaultPX
	}
	if o.BorderShare == 0 {
		o.BorderShare = defaultBorder
	}
	if o.ViewMM <= 0 {
		o.ViewMM = viewMM
	}
	return o
}

// border is the garment on each side of a print of so many pixels.
func (o Options) border(w, h int) int { return max(0, int(o.BorderShare*float64(max(w, h))+0.5)) }

const (
	defaultPX     = 1200
	defaultBorder = 0.06
)

// Render draws the print on its garment. The same planes give the same bytes, whatever the cores.
func Render(
	ctx context.Context,
	r *separate.Recipe,
	planes []*raster.Plane,
	opts Options,
) (*image.RGBA, error) {
	opts = opts.filled()
	if opts.RegisterErrorMM != 0 && opts.PrintWidthMM > 0 {
		planes = displaced(planes, opts.RegisterErrorMM, opts.PrintWidthMM/float64(planes[0].Width))
	}
	w, h := fitted(planes, opts)
	light, err := lightAt(ctx, r, planes, w, h)
	if err != nil {
		return nil, err
	}
	return painted(light, w, h, opts.border(w, h), r.Ground().RGB8()), nil
}

// fitted is the size of the print in the proof: never larger than the planes.
func fitted(planes []*raster.Plane, opts Options) (w, h int) {
	w, h = planes[0].Width, planes[0].Height
	if long := max(w, h); long > opts.MaxPX {
		w, h = max(1, w*opts.MaxPX/long), max(1, h*opts.MaxPX/long)
	}
	return w, h
}

// painted encodes the light and lays the garment about it.
func painted(light []color.XYZ, w, h, border int, ground color.RGB8) *image.RGBA {
	width, height := w+2*border, h+2*border
	img := &image.RGBA{Pix: pages.Make[uint8](4 * width * height), Stride: 4 * width, Rect: image.Rect(0, 0, width, height)}
	for i := 0; i < len(img.Pix); i += 4 {
		img.Pix[i], img.Pix[i+1], img.Pix[i+2], img.Pix[i+3] = ground.R, ground.G, ground.B, 255
	}
	encoder := color.NewEncoder()
	for y := range h {
		row := img.Pix[img.PixOffset(border, border+y):]
		for x := range w {
			c := encoder.RGB8(light[y*w+x].Linear())
			row[4*x], row[4*x+1], row[4*x+2] = c.R, c.G, c.B
		}
	}
	return img
}

// WritePNG writes a proof. The bytes depend on the picture alone.
func WritePNG(w io.Writer, proof *image.RGBA) error {
	if err := artwork.WritePNG(w, proof.Pix, proof.Rect.Dx(), proof.Rect.Dy()); err != nil {
		return fault.Wrap(err, fault.Internal, "proof_png", "the proof cannot be written")
	}
	return nil
}
