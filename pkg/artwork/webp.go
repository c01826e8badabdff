package artwork

import (
	"bytes"
	"encoding/binary"

	"golang.org/x/image/webp"

	"tamis/pkg/fault"
)

// webpHeader reads the size from the picture's own chunk, which is what the decoder allocates by; an extended
// header's canvas must agree with it. Animations are fault.Unsupported: they have no chunk of that sort.
//
// Source: WebP container specification; RFC 6386 9.1 (VP8), WebP lossless 3 (VP8L).
func webpHeader(data []byte) (Header, error) {
	if riffChunk(data, "ANMF") != nil {
		return Header{}, fault.Newf(
			fault.Unsupported,
			"",
			"webp_animated",
			"animated WebP is not read; send one picture",
		)
	}
	var h Header
	if lossy := riffChunk(data, "VP8 "); len(lossy) >= 10 {
		h.Width = int(binary.LittleEndian.Uint16(lossy[6:]) & 0x3fff)
		h.Height = int(binary.LittleEndian.Uint16(lossy[8:]) & 0x3fff)
	} else if exact := riffChunk(data, "VP8L"); len(exact) >= 5 {
		bits := binary.LittleEndian.Uint32(exact[1:])
		h.Width, h.Height = int(bits&0x3fff)+1, int(bits>>14&0x3fff)+1
	} else {
		return h, broken("the WebP has no picture", nil)
	}
	if ext := riffChunk(data, "VP8X"); len(ext) >= 10 {
		if w, ht := 1+uint24(ext[4:]), 1+uint24(ext[7:]); w != h.Width || ht != h.Height {
			return h, broken("the WebP canvas is not the picture's size", nil)
		}
	}
	if exif := riffChunk(data, "EXIF"); exif != nil {
		h.PPI = exifPPI(bytes.TrimPrefix(exif, []byte("Exif\x00\x00")))
	}
	return h, nil
}

func uint24(b []byte) int { return int(b[0]) | int(b[1])<<8 | int(b[2])<<16 }

// riffChunk gives the body of the first chunk of that name; nil where there is none or it is cut short.
func riffChunk(data []byte, name string) []byte {
	for at := 12; at+8 <= len(data); {
		size := int(binary.LittleEndian.Uint32(data[at+4:]))
		if size < 0 || size > len(data)-at-8 {
			return nil
		}
		if string(data[at:at+4]) == name {
			return data[at+8 : at+8+size]
		}
		at += 8 + size + size&1
	}
	return nil
}

func decodeWebP(data []byte, _ Header) (*raw, error) {
	img, err := webp.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, broken("WebP", err)
	}
	r := fromImage(img)
	r.icc = riffChunk(data, "ICCP")
	r.orientation = exifOrientation(bytes.TrimPrefix(riffChunk(data, "EXIF"), []byte("Exif\x00\x00")))
	return r, nil
}
