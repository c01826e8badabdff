package artwork

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"image"
	"image/png"
	"io"

	"tamis/pkg/pages"
)

// pngHeader reads IHDR and pHYs.
func pngHeader(data []byte) (Header, error) {
	var h Header
	if len(data) < 33 || string(data[12:16]) != "IHDR" {
		return h, broken("the PNG has no header", nil)
	}
	h.Width, h.Height = int(binary.BigEndian.Uint32(data[16:])), int(binary.BigEndian.Uint32(data[20:]))
	if phys := pngChunk(data, "pHYs"); len(phys) == 9 && phys[8] == 1 {
		h.PPI = float64(binary.BigEndian.Uint32(phys)) * 0.0254 // stored per metre
	}
	return h, nil
}

// pngChunk gives the body of the first chunk of that name before the pixels, nil where there is none.
func pngChunk(data []byte, name string) []byte {
	for at := 8; at+12 <= len(data); {
		size := int(binary.BigEndian.Uint32(data[at:]))
		if size < 0 || size > len(data)-at-12 {
			return nil
		}
		switch string(data[at+4 : at+8]) {
		case name:
			return data[at+8 : at+8+size]
		case "IDAT":
			return nil
		}
		at += 12 + size
	}
	return nil
}

func decodePNG(data []byte, h Header) (*raw, error) {
	r, ok := pngRows(data, h)
	if !ok {
		img, err := png.Decode(bytes.NewReader(data))
		if err != nil {
			return nil, broken("PNG", err)
		}
		r = fromImage(img)
	}
	r.icc = pngProfile(data)
	if exif := pngChunk(data, "eXIf"); exif != nil {
		r.orientation = exifOrientation(exif)
	}
	return r, nil
}

// pngProfile unpacks iCCP; a profile that does not unpack within maxProfileBytes counts as none, and so does one beside
// the word that the file is sRGB.
func pngProfile(data []byte) []byte {
	if pngChunk(data, "sRGB") != nil {
		return nil
	}
	chunk := pngChunk(data, "iCCP")
	end := bytes.IndexByte(chunk, 0)
	if end < 0 || end+2 > len(chunk) {
		return nil
	}
	z, err := zlib.NewReader(bytes.NewReader(chunk[end+2:]))
	if err != nil {
		return nil
	}
	profile, err := io.ReadAll(io.LimitReader(z, maxProfileBytes+1))
	if err != nil || len(profile) > maxProfileBytes {
		return nil
	}
	return profile
}

// fromImage takes the planes of a standard picture: grey, RGB or CMYK, alpha apart and straight.
func fromImage(img image.Image) *raw {
	b := img.Bounds()
	r := &raw{width: b.Dx(), height: b.Dy(), channels: 3}
	switch m := img.(type) {
	case *image.CMYK:
		r.channels = 4
		r.pix = packed(m.Pix, m.Stride, 4*r.width, r.height)
		return r
	case *image.Gray:
		r.channels = 1
		r.pix = packed(m.Pix, m.Stride, r.width, r.height)
		return r
	case *image.NRGBA:
		r.ready, r.pix = true, packed(m.Pix, m.Stride, 4*r.width, r.height)
		r.clear = !Opaque(r.pix)
		return r
	case *image.RGBA:
		if m.Opaque() {
			r.ready, r.pix = true, packed(m.Pix, m.Stride, 4*r.width, r.height)
			return r
		}
	case *image.Gray16, *image.RGBA64, *image.NRGBA64:
		r.reduced = true
	}
	r.pix = pages.Make[byte](3 * r.width * r.height)
	if !isOpaque(img) {
		r.alpha = pages.Make[byte](r.width * r.height)
	}
	r.take(img)
	return r
}

func isOpaque(img image.Image) bool {
	o, ok := img.(interface{ Opaque() bool })
	return ok && o.Opaque()
}

// packed drops a stride's padding.
func packed(pix []byte, stride, rowBytes, rows int) []byte {
	if stride == rowBytes {
		return pix[:rowBytes*rows]
	}
	out := make([]byte, 0, rowBytes*rows)
	for y := range rows {
		out = append(out, pix[y*stride:][:rowBytes]...)
	}
	return out
}
