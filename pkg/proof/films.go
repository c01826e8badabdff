package proof

import (
	"context"
	"errors"
	"image"
	"io"
	"runtime"

	"tamis/pkg/color"
	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/film"
	"tamis/pkg/ink"
	"tamis/pkg/pages"
	"tamis/pkg/separate"
	"tamis/pkg/tone"
)

// Film is one plate's film as it was written.
//
// Curve is what film device and press make of its tones, from data to print (not the compensation); the zero value
// prints what the film shows. PitchMM is the distance of its dots, 25.4 / lpi of a ruling, some four dots of an FM
// screen; 0 says that its bits are exact places, as in line work and index art, and that Curve does not touch them.
type Film struct {
	TIFF    io.ReaderAt
	Curve   tone.Curve
	PitchMM float64
}

// RenderFilms draws the print on its garment from the final bits: what the films of a job will burn, not what was
// meant. It is Render otherwise: the same films give the same bytes, whatever the cores.
//
// Halftone plates are counted to coverage in each proof pixel, given the gain of their curve (spread), and overlap at
// random within a proof pixel; line and index plates are taken at their places, device pixel by device pixel, under
// and over the tints of the others. The light is then averaged to what the eye holds apart (Options.ViewMM).
//
// Every film is read once, as a stream; memory is that of the proof. films are those of l, one a plate of r in order.
func RenderFilms(ctx context.Context, r *separate.Recipe, l *film.Layout, films []Film,
	opts Options) (*image.RGBA, error) {
	if len(films) != len(r.Plates) || len(films) == 0 {
		return nil, fault.Newf(fault.Internal, "", "proof_films", "%d films for %d plates", len(films), len(r.Plates))
	}
	opts = opts.filled()
	f := newFilmed(r, l, films, opts)
	light, err := f.light(ctx)
	if err != nil {
		if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
			err = fault.Wrap(err, fault.Canceled, "canceled", "the proof was cancelled")
		}
		return nil, err
	}
	light = softened(light, f.width, f.height, f.stepMM, opts.ViewMM)
	w, h := f.width, f.height
	if l.Rotated {
		light, w, h = turnedRight(light, w, h), h, w
	}
	return painted(light, w, h, opts.border(w, h), r.Ground().RGB8()), nil
}

// filmed is one proof under way. Everything lies as on the film; a turned print is turned back at the end.
type filmed struct {
	stack         *ink.Stack
	layout        *film.Layout
	films         []Film
	shift         [][2]int   // device pixels by which each plate is out of register
	box           [2]int     // the print in device pixels
	width, height int        // the proof
	stepMM        [2]float64 // size of a proof pixel
	tints         [][]uint16 // printed coverage a proof pixel of each halftone plate, 0..65535; nil: exact places
	exact         []int      // the plates of exact places
	dots          bool       // some of those are square dots
}

func newFilmed(r *separate.Recipe, l *film.Layout, films []Film, opts Options) *filmed {
	b := l.PrintBoxPX
	f := &filmed{stack: r.Stack(), layout: l, films: films, box: [2]int{b[2] - b[0], b[3] - b[1]},
		tints: make([][]uint16, len(films)), shift: make([][2]int, len(films))}
	mm := [2]float64{l.Spec.PrintWidthMM, l.Spec.PrintHeightMM}
	if l.Rotated {
		mm[0], mm[1] = mm[1], mm[0]
	}
	side := func(axis int) int {
		return min(f.box[axis], max(1, int(float64(opts.MaxPX)*mm[axis]/max(mm[0], mm[1])+0.5)))
	}
	f.width, f.height = side(0), side(1)
	f.stepMM = [2]float64{mm[0] / float64(f.width), mm[1] / float64(f.height)}
	for i := range films {
		d := displacement(i, len(films), opts.RegisterErrorMM)
		if l.Rotated { // the print's top lies at the film's left
			d[0], d[1] = d[1], -d[0]
		}
		for axis := range 2 {
			f.shift[i][axis] = rounded(d[axis] * float64(f.box[axis]) / mm[axis])
		}
		f.dots = f.dots || r.Plates[i].Nearest
		if films[i].PitchMM <= 0 {
			f.exact = append(f.exact, i)
		}
	}
	return f
}

// light predicts the print: first the tints of the halftone plates, each film by itself, then what lies at exact
// places, band by band.
func (f *filmed) light(ctx context.Context) ([]color.XYZ, error) {
	group, inner := cores.NewGroup(ctx)
	group.Limit(runtime.GOMAXPROCS(0))
	for i, one := range f.films {
		if one.PitchMM > 0 {
			group.Go(func() (err error) {
				f.tints[i], err = f.tint(inner, i)
				return err
			})
		}
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	out := pages.Make[color.XYZ](f.width * f.height)
	return out, f.places(ctx, out)
}

// turnedRight turns a picture that lies with its top at the left upright again.
func turnedRight(light []color.XYZ, w, h int) []color.XYZ {
	out := make([]color.XYZ, len(light))
	for y := range h {
		for x := range w {
			out[x*h+h-1-y] = light[y*w+x]
		}
	}
	return out
}
