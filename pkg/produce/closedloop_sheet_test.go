package produce_test

import (
	"image"
	col "image/color"
	"image/png"
	"os"
	"testing"

	"golang.org/x/image/draw"
)

// tile is the width of one picture of a contact sheet.
const tile = 640

// contactSheet writes a PNG: art on its garment, the print as the films give it, the proof, then every plate in its
// coverage, black where it prints.
func contactSheet(t *testing.T, name string, art, print loopPicture, proof image.Image, plates [][]float64) {
	t.Helper()
	pictures := []image.Image{art.picture(), print.picture(), proof}
	for _, p := range plates {
		grey := image.NewGray(image.Rect(0, 0, print.grid.width, print.grid.height))
		for i, v := range p {
			grey.Pix[i] = uint8(255 - 255*v + 0.5)
		}
		pictures = append(pictures, grey)
	}
	const across = 3
	high := tile * art.grid.height / art.grid.width
	rows := (len(pictures) + across - 1) / across
	sheet := image.NewRGBA(image.Rect(0, 0, across*(tile+10), rows*(high+10)))
	draw.Draw(sheet, sheet.Rect, image.NewUniform(col.Gray{128}), image.Point{}, draw.Src)
	for i, p := range pictures {
		x, y := i%across*(tile+10), i/across*(high+10)
		draw.ApproxBiLinear.Scale(sheet, image.Rect(x, y, x+tile, y+high), p, p.Bounds(), draw.Src, nil)
	}
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, sheet); err != nil {
		t.Fatal(err)
	}
}

func (p loopPicture) picture() image.Image {
	m := newLoopModel()
	out := image.NewRGBA(image.Rect(0, 0, p.grid.width, p.grid.height))
	for i := range p.light[0] {
		c := p.lab(m, i).RGB8()
		out.SetRGBA(i%p.grid.width, i/p.grid.width, col.RGBA{c.R, c.G, c.B, 255})
	}
	return out
}
