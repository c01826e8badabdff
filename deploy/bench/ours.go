package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"

	"tamis/pkg/artwork"
	"tamis/pkg/film"
	"tamis/pkg/halftone"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/produce"
	"tamis/pkg/raster"
	"tamis/pkg/shop"
	"tamis/pkg/tone"
)

// noAssembly keeps a process of ours from the kernels in assembly.
const noAssembly = "GODEBUG=cpu.avx2=off,cpu.avx512bw=off"

// ours gives the call that makes the page's film by Tamis.
func (p page) ours(env ...string) (command, error) {
	self, err := os.Executable()
	return command{words: []string{self, "plate", p.raw, strconv.Itoa(p.widthPX),
		strconv.FormatFloat(p.widthIN, 'g', -1, 64), strconv.FormatFloat(p.heightIN, 'g', -1, 64), strconv.Itoa(p.dpi)},
		env: env}, err
}

// onePlate makes one film of a file of grey bytes: its name, its width in pixels, the print's inches and the device's
// dots per inch. The page has margins with every mark, and the curves of a shop that has measured nothing.
func onePlate(ctx context.Context, words []string) error {
	var figures [4]float64
	for i := range figures {
		v, err := strconv.ParseFloat(words[1+i], 64)
		if err != nil {
			return err
		}
		figures[i] = v
	}
	pix, err := os.ReadFile(words[0])
	if err != nil {
		return err
	}
	width, dpi := int(figures[0]), figures[3]
	l, err := film.NewLayout(film.Spec{PrintWidthMM: figures[1] * 25.4, PrintHeightMM: figures[2] * 25.4, MarginMM: 12,
		Plates: 1, Device: film.Device{XDPI: dpi, YDPI: dpi, WidthMM: 1100}})
	if err != nil {
		return err
	}
	screen, err := halftone.New(l.ScreenSpec(halftone.Spec{Kind: halftone.AM, FreqLPI: freqLPI, AngleDeg: angleDeg}))
	if err != nil {
		return err
	}
	curve := tone.Compensation(tone.AssumedFilm(), tone.AssumedPress())
	out, err := os.Create(words[0] + ".tif")
	if err != nil {
		return err
	}
	defer out.Close()
	_, err = l.Write(ctx, film.Plate{N: 1, Of: 1, InkName: "Black", Order: "bench", LPI: freqLPI, AngleDeg: angleDeg,
		Plane:  &raster.Plane{Width: width, Height: len(pix) / width, Pix: pix},
		Screen: screen.WithCurve(curve)}, out, nil)
	return err
}

// wholeJob makes what a plan promises of a picture: its file, a folder for what is made, the print's width in inches,
// and films for TIFFs alone or all for PDF, proof and setup sheet too. The plates' planes are written where asked
// ("planes"), for others to use.
func wholeJob(ctx context.Context, words []string) error {
	art, err := os.ReadFile(words[0])
	if err != nil {
		return err
	}
	widthIN, err := strconv.ParseFloat(words[2], 64)
	if err != nil {
		return err
	}
	image, err := artwork.Decode(ctx, art, artwork.Limits{})
	if err != nil {
		return err
	}
	p, err := planned(ctx, image, widthIN)
	if err != nil {
		return err
	}
	dir := shelf(words[1])
	switch words[3] {
	case "planes":
		return dir.planes(ctx, p, image)
	case "films":
		return dir.films(ctx, p, image)
	}
	_, err = produce.Run(ctx, produce.Input{Plan: p, Label: "bench", Artwork: art, SpoolDir: string(dir)}, dir)
	return err
}

// planned inspects a picture and plans a print of it in six simulated process screens on a dark garment.
func planned(ctx context.Context, image *artwork.Image, widthIN float64) (*plan.Plan, error) {
	insp, err := artwork.Inspect(ctx, image)
	if err != nil {
		return nil, err
	}
	o, err := order.Parse(fmt.Appendf(nil, `{"artwork_id":"art_1","print":{"width_mm":%g},"quantity":100,
		"garment":{"color":"#17181a","unit_cost":"3"},"separation":{"method":"simulated_process","max_screens":6},
		"film":{"device":{"x_dpi":1440,"y_dpi":1440,"width_mm":610}},"order_ref":"bench"}`, widthIN*25.4))
	if err != nil {
		return nil, err
	}
	if o, err = o.Complete(); err != nil {
		return nil, err
	}
	return plan.New(plan.Input{Inspection: insp, Order: o, Shop: shop.Default()})
}

// shelf is a folder that keeps a job's files.
type shelf string

// Finished finds nothing: every run makes all anew.
func (shelf) Finished(context.Context, string) (f produce.File, ok bool, err error) {
	return f, false, nil
}

// Open reads a file back.
func (s shelf) Open(_ context.Context, f produce.File) (io.ReadCloser, error) {
	return os.Open(filepath.Join(string(s), f.Name))
}

// Put keeps a file.
func (s shelf) Put(_ context.Context, f produce.File, body io.ReadSeeker) error {
	out, err := os.Create(filepath.Join(string(s), f.Name))
	if err != nil {
		return err
	}
	defer out.Close()
	_, err = io.Copy(out, body)
	return err
}

// planes separates and writes each plate's plane as grey bytes, ink dark.
func (s shelf) planes(ctx context.Context, p *plan.Plan, image *artwork.Image) error {
	planes, err := p.Recipe.Apply(ctx, image, nil)
	if err != nil {
		return err
	}
	for i, plane := range planes {
		inverted := make([]byte, len(plane.Pix))
		for at, v := range plane.Pix {
			inverted[at] = 255 - v
		}
		if err := os.WriteFile(filepath.Join(string(s), fmt.Sprintf("plate%d.raw", i+1)), inverted, 0o600); err != nil {
			return err
		}
	}
	return nil
}

// films separates and writes the films alone, one after another.
func (s shelf) films(ctx context.Context, p *plan.Plan, image *artwork.Image) error {
	planes, err := p.Recipe.Apply(ctx, image, nil)
	if err != nil {
		return err
	}
	screens, err := p.Screens()
	if err != nil {
		return err
	}
	for i, plane := range planes {
		out, err := os.Create(filepath.Join(string(s), fmt.Sprintf("plate%d.tif", i+1)))
		if err != nil {
			return err
		}
		defer out.Close()
		doc := p.Doc.Plates[i]
		if _, err := p.Layout.Write(ctx, film.Plate{N: doc.N, Of: len(planes), InkName: doc.Ink.Name, Order: "bench",
			Plane: plane, Screen: screens[i], Nearest: p.Recipe.Plates[i].Nearest}, out, nil); err != nil {
			return err
		}
	}
	return nil
}
