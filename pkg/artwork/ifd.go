package artwork

import (
	"encoding/binary"
	"math"
)

// The tags we read. Source: TIFF 6.0; EXIF 2.3; 34675 is ICC.1's.
const (
	tagWidth, tagHeight, tagBits, tagCompression   = 256, 257, 258, 259
	tagPhotometric, tagOffsets, tagOrientation     = 262, 273, 274
	tagSamples, tagRowsPerStrip, tagCounts         = 277, 278, 279
	tagXResolution, tagPlanar, tagResolutionUnit   = 282, 284, 296
	tagPredictor, tagTileWidth, tagTileHeight      = 317, 322, 323
	tagTileOffsets, tagTileCounts, tagExtraSamples = 324, 325, 338
	tagSampleFormat, tagProfile                    = 339, 34675
)

// maxIFDEntries is more than any writer uses (about 60); a file that says 65535 entries is hostile.
const maxIFDEntries = 1024

// ifd is a TIFF directory, also EXIF's: a view into the file that allocates only what is asked for.
type ifd struct {
	data    []byte
	order   binary.ByteOrder
	entries []byte // 12 bytes each
}

// firstIFD opens the first directory; false where data is no TIFF structure or the directory lies outside it.
func firstIFD(data []byte) (ifd, bool) {
	if len(data) < 8 || !isTIFF(data) {
		return ifd{}, false
	}
	d := ifd{data: data, order: binary.ByteOrder(binary.LittleEndian)}
	if data[0] == 'M' {
		d.order = binary.BigEndian
	}
	at := uint64(d.order.Uint32(data[4:]))
	if at+2 > uint64(len(data)) {
		return ifd{}, false
	}
	n := uint64(d.order.Uint16(data[at:]))
	if n > maxIFDEntries || at+2+12*n > uint64(len(data)) {
		return ifd{}, false
	}
	d.entries = data[at+2 : at+2+12*n]
	return d, true
}

// value gives the bytes, type and count of a tag; nil where it is missing, of unknown type or outside the file.
func (d ifd) value(tag uint16) (body []byte, kind uint16, count int) {
	for e := d.entries; len(e) >= 12; e = e[12:] {
		if d.order.Uint16(e) != tag {
			continue
		}
		kind = d.order.Uint16(e[2:])
		n := uint64(d.order.Uint32(e[4:]))
		size := n * uint64(typeSize(kind))
		if size <= 4 {
			return e[8 : 8+size], kind, int(n)
		}
		at := uint64(d.order.Uint32(e[8:]))
		if at+size > uint64(len(d.data)) {
			return nil, 0, 0
		}
		return d.data[at : at+size], kind, int(n)
	}
	return nil, 0, 0
}

// typeSize is the size of a TIFF field type in bytes, 0 for types not listed.
func typeSize(kind uint16) int {
	switch kind {
	case 1, 2, 6, 7:
		return 1
	case 3, 8:
		return 2
	case 4, 9:
		return 4
	case 5, 10:
		return 8
	}
	return 0
}

// numbers gives a tag's BYTE, SHORT or LONG values; nil where it is missing.
func (d ifd) numbers(tag uint16) []uint32 {
	body, kind, n := d.value(tag)
	out := make([]uint32, 0, n)
	for i := range n {
		switch kind {
		case 1:
			out = append(out, uint32(body[i]))
		case 3:
			out = append(out, uint32(d.order.Uint16(body[2*i:])))
		case 4:
			out = append(out, d.order.Uint32(body[4*i:]))
		default:
			return nil
		}
	}
	return out
}

// number is the first value of a tag, or otherwise.
func (d ifd) number(tag uint16, otherwise uint32) uint32 {
	if v := d.numbers(tag); len(v) > 0 {
		return v[0]
	}
	return otherwise
}

// ppi reads XResolution in its unit: 2 inch (also when absent), 3 cm, 1 none. 0 where unknown.
func (d ifd) ppi() float64 {
	body, kind, n := d.value(tagXResolution)
	if kind != 5 || n < 1 || d.order.Uint32(body[4:]) == 0 {
		return 0
	}
	v := float64(d.order.Uint32(body)) / float64(d.order.Uint32(body[4:]))
	switch d.number(tagResolutionUnit, 2) {
	case 2:
		return math.Round(v*1000) / 1000
	case 3:
		return math.Round(v*2540) / 1000
	}
	return 0
}

func exifOrientation(exif []byte) int {
	d, ok := firstIFD(exif)
	if !ok {
		return 0
	}
	return int(d.number(tagOrientation, 0))
}

func exifPPI(exif []byte) float64 {
	d, ok := firstIFD(exif)
	if !ok {
		return 0
	}
	return d.ppi()
}
