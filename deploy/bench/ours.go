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
	"golang.org/x/sys/unix"

	"tamis/pkg/artwork"
	"tamis/pkg/film"
	"tamis/pkg/halftone"
	"tamis/pkg/order"
	"tamis/pkg/plan"
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
	pix, err := mapped(words[0])
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
	curve := tone.Compensation(tone.EdgeGrowth(freqLPI, tone.AssumedFilmGrowthUM),
		tone.EdgeGrowth(freqLPI, tone.AssumedPressGrowthUM))
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

// mapped is a file's bytes where they are: Ghostscript reads its plane as it goes, too.
func mapped(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	return unix.Mmap(int(f.Fd()), 0, int(info.Size()), unix.PROT_READ, unix.MAP_SHARED)
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

// separated decodes a picture and separates it, the screens being made beside.
func separated(ctx context.Context, p *plan.Plan, art []byte) (planes []*raster.Plane, screens []*halftone.Screen, err error) {
	image, err := artwork.Decode(ctx, art, artwork.Limits{})
	if err != nil {
		return nil, nil, err
	}
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
