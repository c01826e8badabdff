// Command plate makes one film of a file of grey bytes, in a process that holds nothing else: what the bench sets against
// Ghostscript. Its words are the file, its width in pixels, the print's width and height in inches, the device's dots per
// inch, the screen's ruling and its angle. The page has margins with every mark, and the curves of a shop that has
// measured nothing. The film lies beside the file, with .tif behind its name.
package main

import (
	"context"
	"fmt"
	"os"
	"strconv"

	"golang.org/x/sys/unix"

	"tamis/pkg/film"
	"tamis/pkg/halftone"
	"tamis/pkg/raster"
	"tamis/pkg/tone"
)

func main() {
	if err := plate(context.Background(), os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "tamis bench plate:", err)
		os.Exit(1)
	}
}

func plate(ctx context.Context, words []string) error {
	var figures [6]float64
	if len(words) != 1+len(figures) {
		return fmt.Errorf("%d words; a file and %d figures are wanted", len(words), len(figures))
	}
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
	width, dpi, freqLPI, angleDeg := int(figures[0]), figures[3], figures[4], figures[5]
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
