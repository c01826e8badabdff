package artwork

import (
	"encoding/binary"
	"fmt"
)

// pixelFilter undoes one filter in a row of RGB or RGBA pixels, 3 or 4 bytes each, into pixels of 4 bytes that are or'ed
// with alpha. above is the restored row over it, as long as dst. src has a byte more than the row's, which is read and
// does not count.
type pixelFilter func(dst, above, src []byte, bytesPX int, alpha uint32)

// pixelFilters has one for each filter of the standard.
type pixelFilters [filterPaeth + 1]pixelFilter

// inWords are the filters in 64-bit words. A pixel's channels go side by side, in lanes of 16 bits: what is carried out
// of a byte stays in its lane.
var inWords = pixelFilters{nonePixels, subPixels, upPixels, averagePixels, paethPixels}

// row restores a row, and gives RGB pixels a full alpha. It tells whether the filter is known.
func (f *pixelFilters) row(filter byte, dst, above, src []byte, bytesPX int) bool {
	if len(dst)%4 != 0 || len(above) != len(dst) || len(src) <= len(dst)/4*bytesPX {
		panic(fmt.Sprintf("artwork: rows of %d, %d and %d bytes, %d a pixel", len(dst), len(above), len(src), bytesPX))
	}
	if int(filter) >= len(f) {
		return false
	}
	alpha := uint32(0)
	if bytesPX == 3 {
		alpha = 0xff << 24
	}
	f[filter](dst, above, src, bytesPX, alpha)
	return true
}

func nonePixels(dst, _, src []byte, bytesPX int, alpha uint32) {
	for len(dst) >= 4 {
		binary.LittleEndian.PutUint32(dst, word(src)|alpha)
		dst, src = dst[4:], src[bytesPX:]
	}
}

func subPixels(dst, _, src []byte, bytesPX int, alpha uint32) {
	left := uint64(0)
	for len(dst) >= 4 {
		left = (left + lanes(word(src))) & inLanes
		putLanes(dst, left, alpha)
		dst, src = dst[4:], src[bytesPX:]
	}
}

func upPixels(dst, above, src []byte, bytesPX int, alpha uint32) {
	for len(dst) >= 4 {
		putLanes(dst, (lanes(word(above))+lanes(word(src)))&inLanes, alpha)
		dst, above, src = dst[4:], above[4:], src[bytesPX:]
	}
}

func averagePixels(dst, above, src []byte, bytesPX int, alpha uint32) {
	left := uint64(0)
	for len(dst) >= 4 {
		left = ((left+lanes(word(above)))>>1 + lanes(word(src))) & inLanes
		putLanes(dst, left, alpha)
		dst, above, src = dst[4:], above[4:], src[bytesPX:]
	}
}

// paethPixels adds to each channel that of left, above and above left which is nearest to left + above - above left.
func paethPixels(dst, above, src []byte, bytesPX int, alpha uint32) {
	var a0, a1, a2, a3, c0, c1, c2, c3 int32 // of the pixels left and above left
	for len(dst) >= 4 {
		s, b := word(src), word(above)
		b0, b1, b2, b3 := int32(b&255), int32(b>>8&255), int32(b>>16&255), int32(b>>24)
		a0 = (paeth(a0, b0, c0) + int32(s)) & 255
		a1 = (paeth(a1, b1, c1) + int32(s>>8)) & 255
		a2 = (paeth(a2, b2, c2) + int32(s>>16)) & 255
		if bytesPX == 4 {
			a3 = (paeth(a3, b3, c3) + int32(s>>24)) & 255
		}
		c0, c1, c2, c3 = b0, b1, b2, b3
		binary.LittleEndian.PutUint32(dst, uint32(a0|a1<<8|a2<<16|a3<<24)|alpha)
		dst, above, src = dst[4:], above[4:], src[bytesPX:]
	}
}

// inLanes cuts off what was carried out of a byte.
const inLanes = 0x00ff_00ff_00ff_00ff

// putLanes writes a pixel from its lanes, as lanes has them, each of a byte.
func putLanes(p []byte, v uint64, alpha uint32) {
	binary.LittleEndian.PutUint32(p, uint32(v|v>>24)|alpha)
}
