package artwork

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image/png"
	"io"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/inflate"
	"tamis/pkg/kernel"
	"tamis/pkg/pages"
)

// pngRows decodes the common PNG, 8-bit grey, RGB or RGBA in one pass, inflating on one core what another one turns
// into pixels: some four times as fast as image/png. Any other PNG, and one with anything amiss, it leaves
// to image/png (ok is false), which knows best what to say.
//
// Source: W3C, Portable Network Graphics (third edition), clauses 5 (chunks), 9 (filters), 11.2.
func pngRows(data []byte, h Header) (r *raw, ok bool) {
	p := newPNGPicture(data, h)
	if p == nil {
		return nil, false
	}
	return p.raw, p.read()
}

// openPNG begins to decode what pngRows can where the pixels are the picture's as they stand, else it gives nil.
func openPNG(ctx context.Context, data []byte, h Header) *Image {
	form, ok := pngFormOf(data)
	if !ok || form == pngGrey || exifOrientation(pngChunk(data, "eXIf")) > 1 {
		return nil
	}
	img := &Image{Width: h.Width, Height: h.Height, PPI: h.PPI}
	if profileConverter(&raw{channels: 3, icc: pngProfile(data)}, img) != nil {
		return nil
	}
	p := newPNGPicture(data, h)
	if p == nil {
		return nil
	}
	img.Pix = p.pix
	img.arrival = arriving(ctx, func(ctx context.Context, came func(rows int)) (err error) {
		defer func() {
			if p := recover(); p != nil { // as in guarded
				err = broken("its decoder gave up", cores.PanicOf(p))
			}
		}()
		p.came = func(rows int) bool {
			came(rows)
			return ctx.Err() == nil
		}
		whole := p.read()
		switch {
		case ctx.Err() != nil:
			return fault.Wrap(ctx.Err(), fault.Canceled, "canceled", "decoding was cancelled")
		case !whole:
			if _, err := png.Decode(bytes.NewReader(data)); err != nil {
				return broken("PNG", err) // it knows best what to say
			}
			return broken("PNG", errDamaged)
		}
		img.HasAlpha = p.clear
		return nil
	})
	return img
}

// errDamaged is what there is to say of pixels that only image/png can read.
var errDamaged = errors.New("its pixels are damaged")

// newPNGPicture makes room for the pixels of a PNG that pngRows can decode; else it gives nil.
func newPNGPicture(data []byte, h Header) *pngPicture {
	form, ok := pngFormOf(data)
	if !ok {
		return nil
	}
	packed, ok := pngPixels(data)
	if !ok {
		return nil
	}
	r := &raw{width: h.Width, height: h.Height, channels: 3, ready: true}
	if form == pngGrey {
		r.channels, r.ready = 1, false
		r.pix = pages.Make[byte](h.Width * h.Height)
	} else {
		r.pix = pages.Make[byte](4 * h.Width * h.Height)
	}
	return &pngPicture{raw: r, packed: inflate.New(packed), bytesPX: int(form), above: make([]byte, len(r.pix)/h.Height),
		came: func(int) bool { return true }}
}

// pngForm is the bytes of a pixel.
type pngForm int

const (
	pngGrey pngForm = 1
	pngRGB  pngForm = 3
	pngRGBA pngForm = 4
)

// pngFormOf reads the header of what pngRows can decode.
func pngFormOf(data []byte) (form pngForm, ok bool) {
	const ihdr = 16 // where the header's body begins
	depth, kind, plain := data[ihdr+8], data[ihdr+9], [3]byte(data[ihdr+10:]) == [3]byte{}
	form, ok = map[byte]pngForm{0: pngGrey, 2: pngRGB, 6: pngRGBA}[kind]
	return form, ok && plain && depth == 8 && pngChunk(data, "tRNS") == nil
}

// pngPixels gives the bodies of the IDAT chunks, which must stand in a row; the check sum of every chunk must be right.
func pngPixels(data []byte) (bodies [][]byte, ok bool) {
	ended := false // the row of IDAT chunks
	for at := 8; at+12 <= len(data); {
		size := int(binary.BigEndian.Uint32(data[at:]))
		if size > len(data)-at-12 {
			return nil, false
		}
		name, body := string(data[at+4:at+8]), data[at+8:at+8+size]
		if crc32.ChecksumIEEE(data[at+4:at+8+size]) != binary.BigEndian.Uint32(data[at+8+size:]) {
			return nil, false
		}
		switch {
		case name == "IEND":
			return bodies, size == 0 && len(bodies) > 0
		case name == "IDAT" && ended:
			return nil, false
		case name == "IDAT":
			bodies = append(bodies, body)
		case name[0]&0x20 == 0 && name != "IHDR" && name != "PLTE": // a critical chunk that is not known
			return nil, false
		default:
			ended = len(bodies) > 0
		}
		at += 12 + size
	}
	return nil, false
}

// pngPicture takes filtered rows and makes pixels of them.
type pngPicture struct {
	*raw
	packed  stream
	bytesPX int
	filters pixelFilters
	above   []byte // the row above, as it is in pix; zeros over the first
	y       int
	came    func(rows int) bool // is told of the rows that are there; false ends the work
}

// stream gives filtered rows as inflate.Decoder does.
type stream interface {
	Next(band *inflate.Band) error
}

// pngBand is how many bytes of rows are handed from one core to the other, at the least.
const pngBand = 1 << 17

// read inflates all rows and takes them; false where the stream is damaged, too short or too long. Each side ends the
// other by closing its channel, whichever way it ends.
func (p *pngPicture) read() bool {
	p.filters = kernel.Fastest(pixelVariants, inWords)
	rowBytes := 1 + p.bytesPX*p.width
	rows := max(1, pngBand/rowBytes)
	full, empty := make(chan *inflate.Band, 3), make(chan *inflate.Band, 3)
	for range cap(empty) {
		empty <- inflate.NewBand(rows * rowBytes)
	}
	var inflated, taken bool
	cores.Together(func() {
		defer close(full)
		inflated = p.inflate(full, empty, rowBytes)
	}, func() {
		defer close(empty)
		for band := range full {
			if !p.take(band.Bytes, rowBytes) || !p.came(p.y) {
				return // empty closed, the other side ends
			}
			empty <- band
		}
		taken = true
	})
	return inflated && taken
}

// inflate fills bands of rows, and reads the check sum after the last; false where the stream is not as it should be.
func (p *pngPicture) inflate(full chan<- *inflate.Band, empty <-chan *inflate.Band, rowBytes int) bool {
	for left := p.height * rowBytes; ; {
		band := <-empty
		if band == nil {
			return false // the taker ended
		}
		if err := p.packed.Next(band); err != nil {
			return err == io.EOF && left == 0
		}
		if left -= len(band.Bytes); left < 0 || len(band.Bytes)%rowBytes != 0 {
			return false
		}
		full <- band
	}
}

// take unfilters a band of rows into pixels.
func (p *pngPicture) take(band []byte, rowBytes int) bool {
	for ; len(band) > 0; band = band[rowBytes:] {
		row := p.pix[p.y*len(p.above):][:len(p.above)]
		if p.bytesPX == 1 {
			copy(row, band[1:])
			if !unfilter(band[0], row, p.above, 1) {
				return false
			}
		} else if !p.filters.row(band[0], row, p.above, band[1:rowBytes+1], p.bytesPX) {
			return false
		}
		p.clear = p.clear || p.bytesPX == 4 && !Opaque(row)
		p.above = row
		p.y++
	}
	return true
}
