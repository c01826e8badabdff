package produce_test

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"testing"

	"golang.org/x/image/ccitt"

	"tamis/pkg/artwork"
	"tamis/pkg/plan"
)

// loopFilm is the print box of a film, a byte a device pixel, 1 ink.
type loopFilm struct {
	width, height int
	ink           []byte
}

// readFilm decodes a film's TIFF by golang.org/x/image/ccitt.
func readFilm(t *testing.T, tiff []byte, box [4]int) loopFilm {
	t.Helper()
	at := binary.LittleEndian.Uint32(tiff[4:])
	tag := map[uint16]int{}
	for i := range int(binary.LittleEndian.Uint16(tiff[at:])) {
		e := tiff[int(at)+2+12*i:]
		tag[binary.LittleEndian.Uint16(e)] = int(binary.LittleEndian.Uint32(e[8:]))
	}
	const width, height, offset, count = 256, 257, 273, 279
	strip := tiff[tag[offset] : tag[offset]+tag[count]]
	code := ccitt.NewReader(bytes.NewReader(strip), ccitt.MSB, ccitt.Group4, tag[width], tag[height],
		&ccitt.Options{Invert: true})
	bits, err := io.ReadAll(code)
	stride := (tag[width] + 7) / 8
	if err != nil || len(bits) != stride*tag[height] {
		t.Fatalf("the film decodes to %d bytes: %v", len(bits), err)
	}
	f := loopFilm{width: box[2] - box[0], height: box[3] - box[1]}
	f.ink = make([]byte, f.width*f.height)
	for y := range f.height {
		for x := range f.width {
			u := x + box[0]
			f.ink[y*f.width+x] = bits[(y+box[1])*stride+u/8] >> (7 - u%8) & 1
		}
	}
	return f
}

// loopGrid is where print and art are compared: the art's own pixels, both low-passed alike.
type loopGrid struct {
	width, height int
	sigma         float64 // of the low-pass, in pixels
}

// The low-pass, in distances of halftone dots and in index dots: dots leave noise of all lengths, since no dot has the
// tone asked for to the last device pixel, and shorter ones leave more of it than the limit bears. Line work needs none
// of its own: a pixel, for the edges.
const (
	pitchSigmas = 1.2
	indexSigmas = 8.0
	indexDPI    = 170
	lineSigma   = 1.0
)

func newLoopGrid(p *plan.Plan, art *artwork.Image) loopGrid {
	pixelMM, sigmaMM := p.Doc.Print.WidthMM/float64(art.Width), 0.0
	for i, plate := range p.Doc.Plates {
		switch {
		case p.Recipe.Plates[i].Nearest:
			sigmaMM = indexSigmas * 25.4 / indexDPI
		case plate.Halftone != nil:
			sigmaMM = math.Max(sigmaMM, pitchSigmas*25.4/plate.Halftone.LPI)
		}
	}
	return loopGrid{art.Width, art.Height, math.Max(lineSigma, sigmaMM/pixelMM)}
}

// cells counts values of a picture of w x h to the means of the grid's cells.
func (g loopGrid) cells(w, h int, value func(i int) float64) []float64 {
	out, n := make([]float64, g.width*g.height), make([]float64, g.width*g.height)
	for y := range h {
		for x := range w {
			k := y*g.height/h*g.width + x*g.width/w
			out[k] += value(y*w + x)
			n[k]++
		}
	}
	for k := range out {
		out[k] /= math.Max(n[k], 1)
	}
	return out
}

// lowPassed is a Gaussian of the grid's sigma; past the edges the nearest cell counts on.
func (g loopGrid) lowPassed(v []float64) []float64 {
	reach := int(3*g.sigma) + 1
	pass := func(src []float64, stepX, stepY int) []float64 {
		dst := make([]float64, len(src))
		for y := range g.height {
			for x := range g.width {
				sum, weight := 0.0, 0.0
				for k := -reach; k <= reach; k++ {
					w := math.Exp(-float64(k*k) / (2 * g.sigma * g.sigma))
					u, v := min(max(x+k*stepX, 0), g.width-1), min(max(y+k*stepY, 0), g.height-1)
					sum, weight = sum+w*src[v*g.width+u], weight+w
				}
				dst[y*g.width+x] = sum / weight
			}
		}
		return dst
	}
	return pass(pass(v, 1, 0), 0, 1)
}

// planes are the films' coverage in the grid's cells.
func (g loopGrid) planes(films []loopFilm) [][]float64 {
	var out [][]float64
	for _, f := range films {
		out = append(out, g.cells(f.width, f.height, func(i int) float64 { return float64(f.ink[i]) }))
	}
	return out
}
