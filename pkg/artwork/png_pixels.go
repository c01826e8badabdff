package artwork

import "encoding/binary"

// unfilterPixels restores a row of RGB or RGBA pixels, 3 or 4 bytes each, into pixels of 4 bytes: RGB ones get a full
// alpha. above is the restored row over it. src has a byte more than the row's, which is read and does not count. It tells
// whether the filter is known.
//
// A pixel's channels go side by side, in lanes of 16 bits: what is carried out of a byte stays in its lane.
func unfilterPixels(filter byte, dst, above, src []byte, bytesPX int) bool {
	alpha := uint32(0)
	if bytesPX == 3 {
		alpha = 0xff << 24
	}
	switch filter {
	case filterNone:
		widen(dst, src, bytesPX, alpha)
	case filterSub:
		left := uint64(0)
		for len(dst) >= 4 {
			left = (left + lanes(word(src))) & inLanes
			putLanes(dst, left, alpha)
			dst, src = dst[4:], src[bytesPX:]
		}
	case filterUp:
		for len(dst) >= 4 {
			putLanes(dst, (lanes(word(above))+lanes(word(src)))&inLanes, alpha)
			dst, above, src = dst[4:], above[4:], src[bytesPX:]
		}
	case filterAverage:
		left := uint64(0)
		for len(dst) >= 4 {
			left = ((left+lanes(word(above)))>>1 + lanes(word(src))) & inLanes
			putLanes(dst, left, alpha)
			dst, above, src = dst[4:], above[4:], src[bytesPX:]
		}
	case filterPaeth:
		paethPixels(dst, above, src, bytesPX, alpha)
	default:
		return false
	}
	return true
}

// inLanes cuts off what was carried out of a byte.
const inLanes = 0x00ff_00ff_00ff_00ff

// putLanes writes a pixel from its lanes, as lanes has them, each of a byte.
func putLanes(p []byte, v uint64, alpha uint32) {
	binary.LittleEndian.PutUint32(p, uint32(v|v>>24)|alpha)
}

// widen copies pixels.
func widen(dst, src []byte, bytesPX int, alpha uint32) {
	for len(dst) >= 4 {
		binary.LittleEndian.PutUint32(dst, binary.LittleEndian.Uint32(src)|alpha)
		dst, src = dst[4:], src[bytesPX:]
	}
}

// paethPixels adds to each channel that of left, above and above left which is nearest to left + above - above left.
func paethPixels(dst, above, src []byte, bytesPX int, alpha uint32) {
	var a0, a1, a2, a3, c0, c1, c2, c3 int32 // of the pixels left and above left
	for len(dst) >= 4 {
		s, b := binary.LittleEndian.Uint32(src), binary.LittleEndian.Uint32(above)
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
