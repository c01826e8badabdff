package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"time"

	"golang.org/x/sync/errgroup"

	"tamis/pkg/artwork"
	"tamis/pkg/film"
	"tamis/pkg/halftone"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/raster"
	"tamis/pkg/shop"
)

// noAssembly keeps a process of ours from the kernels in assembly.
const noAssembly = "GODEBUG=cpu.avx=off,cpu.avx2=off,cpu.avx512bw=off"

// ours gives the call that makes the page's film by Tamis: program is plate, built.
func (p page) ours(program string, env ...string) command {
	words := []string{program, p.raw, strconv.Itoa(p.widthPX)}
	for _, figure := range []float64{p.widthIN, p.heightIN, float64(p.dpi), freqLPI, angleDeg} {
		words = append(words, strconv.FormatFloat(figure, 'g', -1, 64))
	}
	return command{words: words, env: env}
}

// filmsAlone makes the films of a picture whose plan is made already, as that of a quoted order is, and says how long
// that took: words are the picture, a folder, the print's width in inches, and "films", "screened" where decoding and
// separation do not count, or "planes" for the plates' planes instead, for others to use.
func filmsAlone(ctx context.Context, words []string, out io.Writer) error {
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
	if words[3] == "planes" {
		return dir.planes(ctx, p, image)
	}
	image = nil // it is decoded once more: that counts
	runtime.GC()
	start := time.Now()
	planes, screens, err := separated(ctx, p, art)
	if err != nil {
		return err
	}
	if words[3] == "screened" {
		start = time.Now()
		if screens, err = p.Screens(); err != nil {
			return err
		}
	}
	if err := dir.films(ctx, p, planes, screens); err != nil {
		return err
	}
	fmt.Fprintln(out, tookWord, time.Since(start).Seconds())
	return nil
}

// benchOrder is a print in six simulated process screens on a dark garment.
func benchOrder(artworkID string, widthIN float64) []byte {
	return fmt.Appendf(nil, `{"artwork_id":%q,"print":{"width_mm":%g},"quantity":100,
		"garment":{"color":"#17181a","unit_cost":"3"},"separation":{"method":"simulated_process","max_screens":6},
		"film":{"device":{"x_dpi":1440,"y_dpi":1440,"width_mm":610}},"order_ref":"bench"}`, artworkID, widthIN*25.4)
}

// planned inspects a picture and plans benchOrder's print of it.
func planned(ctx context.Context, image *artwork.Image, widthIN float64) (*plan.Plan, error) {
	insp, err := artwork.Inspect(ctx, image)
	if err != nil {
		return nil, err
	}
	o, err := order.Parse(benchOrder("art_1", widthIN))
	if err != nil {
		return nil, err
	}
	if o, err = o.Complete(); err != nil {
		return nil, err
	}
	return plan.New(plan.Input{Inspection: insp, Order: o, Shop: shop.Default()})
}

// shelf is a folder that what is made goes into.
type shelf string

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

// separated opens a picture and separates it as its rows come, the screens being made beside.
func separated(ctx context.Context, p *plan.Plan, art []byte) (planes []*raster.Plane, screens []*halftone.Screen, err error) {
	image, err := artwork.Open(ctx, art, artwork.Limits{})
	if err != nil {
		return nil, nil, err
	}
	defer image.Drop()
	var group errgroup.Group
	group.Go(func() (err error) {
		screens, err = p.Screens()
		return err
	})
	planes, err = p.Recipe.Apply(ctx, image, nil)
	return planes, screens, errors.Join(err, group.Wait())
}

// films writes the films, one after another.
func (s shelf) films(ctx context.Context, p *plan.Plan, planes []*raster.Plane, screens []*halftone.Screen) error {
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
