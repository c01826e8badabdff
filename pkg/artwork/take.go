package artwork

import (
	"image"
	"image/color"

	"tamis/pkg/cores"
)

// take copies img's colours, straight, into r.pix and r.alpha, rows side by side on all cores. The common picture
// types go without an interface call a pixel.
func (r *raw) take(img image.Image) {
	row := r.rowTaker(img)
	cores.Ranges(r.height, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row(y)
		}
	})
}

func (r *raw) rowTaker(img image.Image) func(y int) {
	b := img.Bounds()
	switch m := img.(type) {
	case *image.RGBA:
		return func(y int) { r.takeRow(y, m.Pix[y*m.Stride:]) }
	case *image.YCbCr:
		return func(y int) { r.takeYCbCr(y, m) }
	case *image.Paletted:
		table := straightPalette(m.Palette)
		return func(y int) {
			for x, i := range m.Pix[y*m.Stride:][:r.width] {
				r.set(y*r.width+x, table[i])
			}
		}
	}
	return func(y int) {
		for x := range r.width {
			r.set(y*r.width+x, straight(img.At(b.Min.X+x, b.Min.Y+y)))
		}
	}
}

// takeRow copies premultiplied pixels, divided by their alpha.
func (r *raw) takeRow(y int, src []byte) {
	for x := range r.width {
		p := [4]byte(src[4*x : 4*x+4])
		if p[3] != 0 && p[3] != 255 {
			for c := range 3 {
				p[c] = byte(min(255, (int(p[c])*255+int(p[3])/2)/int(p[3])))
			}
		}
		r.set(y*r.width+x, p)
	}
}

func (r *raw) takeYCbCr(y int, m *image.YCbCr) {
	b := m.Rect
	for x := range r.width {
		i, j := m.YOffset(b.Min.X+x, b.Min.Y+y), m.COffset(b.Min.X+x, b.Min.Y+y)
		red, green, blue := color.YCbCrToRGB(m.Y[i], m.Cb[j], m.Cr[j])
		r.set(y*r.width+x, [4]byte{red, green, blue, 255})
	}
}

func (r *raw) set(i int, p [4]byte) {
	copy(r.pix[3*i:3*i+3], p[:3])
	if r.alpha != nil {
		r.alpha[i] = p[3]
	}
}

// straight gives any colour as straight 8-bit RGBA, rounded from its 16 bits.
func straight(c color.Color) [4]byte {
	n := color.NRGBA64Model.Convert(c).(color.NRGBA64)
	return [4]byte{to8(n.R), to8(n.G), to8(n.B), to8(n.A)}
}

// to8 rounds 16 bits to 8: 65535 = 257 x 255.
func to8(v uint16) byte { return byte((uint32(v) + 128) / 257) }

// straightPalette gives 256 colours; indexes past the palette are transparent black.
func straightPalette(p color.Palette) *[256][4]byte {
	var table [256][4]byte
	for i, c := range p[:min(256, len(p))] {
		table[i] = straight(c)
	}
	return &table
}
