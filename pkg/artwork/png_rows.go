package artwork

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"hash/crc32"
	"image/png"
	"io"

	"github.com/klauspost/compress/zlib"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
	"tamis/pkg/pages"
)

// pngRows decodes the common PNG, 8-bit grey, RGB or RGBA in one pass, inflating on one core what another one turns
// into pixels: some two and a half times as fast as image/png. Any other PNG, and one with anything amiss, it leaves
// to image/png (ok is false), which knows best what to say.
//
// Source: W3C, Portable Network Graphics (third edition), clauses 5 (chunks), 9 (filters), 11.2.
func pngRows(data []byte, h Header) (r *raw, ok bool) {
	p, z := newPNGPicture(data, h)
	if p == nil {
		return nil, false
	}
	return p.raw, p.read(z)
}

// openPNG begins to decode what pngRows can where the pixels are the picture's as they stand, else it gives nil.
func openPNG(ctx context.Context, data []byte, h Header) *Image {
	form, ok := pngFormOf(data)
	if !ok || form == pngGrey || exifOrientation(pngChunk(data, "eXIf")) > 1 {
		return nil
	}
	img := &Image{Width: h.Width, Height: h.Height, PPI: h.PPI}
	if pngChunk(data, "sRGB") == nil && profileConverter(&raw{channels: 3, icc: pngProfile(data)}, img) != nil {
		return nil
	}
	p, z := newPNGPicture(data, h)
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
		whole := p.read(z)
		switch {
		case ctx.Err() != nil:
			return fault.Wrap(ctx.Err(), fault.Canceled, "canceled", "decoding was cancelled")
		case !whole:
			_, err := png.Decode(bytes.NewReader(data))
			return broken("PNG", err)
		}
		img.HasAlpha = p.clear
		return nil
	})
	return img
}

// newPNGPicture makes room for the pixels of a PNG that pngRows can decode, and opens its stream; else it gives nil.
func newPNGPicture(data []byte, h Header) (*pngPicture, io.Reader) {
	form, ok := pngFormOf(data)
	if !ok {
		return nil, nil
	}
	packed, ok := pngPixels(data)
	if !ok {
		return nil, nil
	}
	z, err := zlib.NewReader(bufio.NewReaderSize(packed, inflateBuffer))
	if err != nil {
		return nil, nil
	}
	r := &raw{width: h.Width, height: h.Height, channels: 3, ready: true}
	if form == pngGrey {
		r.channels, r.ready = 1, false
		r.pix = pages.Make[byte](h.Width * h.Height)
	} else {
		r.pix = pages.Make[byte](4 * h.Width * h.Height)
	}
	return &pngPicture{raw: r, bytesPX: int(form), last: make([]byte, int(form)*h.Width),
		came: func(int) bool { return true }}, z
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

// inflateBuffer is what the inflating core reads at a time; it stays in the cache.
const inflateBuffer = 64 << 10

// pngPixels reads the bodies of the IDAT chunks, which must stand in a row, one after another; the check sum of every
// chunk must be right.
func pngPixels(data []byte) (packed io.Reader, ok bool) {
	var bodies []io.Reader
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
			return io.MultiReader(bodies...), size == 0 && len(bodies) > 0
		case name == "IDAT" && ended:
			return nil, false
		case name == "IDAT":
			bodies = append(bodies, bytes.NewReader(body))
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
	bytesPX int
	last    []byte // the row above, unfiltered
	y       int
	came    func(rows int) bool // is told of the rows that are there; false ends the work
}

// pngBand is how many bytes of rows are handed from one core to the other, at the least.
const pngBand = 1 << 18

// read inflates all rows and takes them; false where the stream is damaged, too short or too long. Each side ends the
// other by closing its channel, whichever way it ends.
func (p *pngPicture) read(z io.Reader) bool {
	rowBytes := 1 + p.bytesPX*p.width
	rows := max(1, pngBand/rowBytes)
	full, empty := make(chan []byte, 3), make(chan []byte, 3)
	for range cap(empty) {
		empty <- make([]byte, rows*rowBytes)
	}
	var inflated, taken bool
	cores.Together(func() {
		defer close(full)
		inflated = p.inflate(z, full, empty, rows, rowBytes)
	}, func() {
		defer close(empty)
		taken = true
		for band := range full {
			taken = taken && p.take(band, rowBytes) && p.came(p.y)
			empty <- band[:cap(band)]
		}
	})
	return inflated && taken
}

// inflate fills bands of rows, and reads the check sum after the last; false where the stream is not as it should be.
func (p *pngPicture) inflate(z io.Reader, full chan<- []byte, empty <-chan []byte, rows, rowBytes int) bool {
	for left := p.height; left > 0; left -= rows {
		band := <-empty
		if band == nil {
			return false // the taker ended
		}
		band = band[:min(rows, left)*rowBytes]
		if _, err := io.ReadFull(z, band); err != nil {
			return false
		}
		full <- band
	}
	_, err := io.ReadFull(z, make([]byte, 1)) // reads the check sum as well
	return err == io.EOF
}

// take unfilters a band of rows and writes their pixels.
func (p *pngPicture) take(band []byte, rowBytes int) bool {
	for ; len(band) > 0; band = band[rowBytes:] {
		row := band[1:rowBytes]
		if !unfilter(band[0], row, p.last, p.bytesPX) {
			return false
		}
		switch at := p.y * p.width; p.bytesPX {
		case 1:
			copy(p.pix[at:], row)
		case 3:
			widen(p.pix[4*at:][:4*p.width], row)
		default:
			copy(p.pix[4*at:], row)
			p.clear = p.clear || !opaque(row)
		}
		copy(p.last, row)
		p.y++
	}
	return true
}

// widen gives RGB pixels a full alpha.
func widen(dst, src []byte) {
	const alpha = 0xff << 24
	for len(src) >= 4 { // a byte more than the pixel is read
		binary.LittleEndian.PutUint32(dst, binary.LittleEndian.Uint32(src)|alpha)
		dst, src = dst[4:], src[3:]
	}
	if len(src) == 3 {
		copy(dst, src)
		dst[3] = 255
	}
}
