package artwork

import "encoding/binary"

// The filters of a PNG's rows.
const (
	filterNone = iota
	filterSub
	filterUp
	filterAverage
	filterPaeth
)

// unfilter restores a row in place: above is the restored row over it, bytesPX a pixel's bytes. It tells whether the
// filter is known.
//
// Source: W3C, Portable Network Graphics (third edition), clause 9.2.
func unfilter(filter byte, row, above []byte, bytesPX int) bool {
	switch filter {
	case filterNone:
	case filterSub:
		for i := bytesPX; i < len(row); i++ {
			row[i] += row[i-bytesPX]
		}
	case filterUp:
		addRows(row, above)
	case filterAverage:
		for i := range min(bytesPX, len(row)) {
			row[i] += above[i] / 2
		}
		for i := bytesPX; i < len(row); i++ {
			row[i] += uint8((int(row[i-bytesPX]) + int(above[i])) / 2)
		}
	case filterPaeth:
		unfilterPaeth(row, above, bytesPX)
	default:
		return false
	}
	return true
}

// addRows adds b to a byte by byte, eight at a time: the bytes' high bits are added apart, so that nothing runs over.
func addRows(a, b []byte) {
	const low, high = 0x7f7f_7f7f_7f7f_7f7f, 0x8080_8080_8080_8080
	for len(a) >= 8 {
		x, y := binary.LittleEndian.Uint64(a), binary.LittleEndian.Uint64(b)
		binary.LittleEndian.PutUint64(a, (x&low+y&low)^(x^y)&high)
		a, b = a[8:], b[8:]
	}
	for i := range a {
		a[i] += b[i]
	}
}

// unfilterPaeth adds to each byte that of left, above and above left which is nearest to left + above - above left.
// The pixels' channels, 4 at the most, go side by side: each waits for its left neighbour alone.
func unfilterPaeth(row, above []byte, bytesPX int) {
	var left, corner [4]int32
	for i := 0; i+bytesPX <= len(row); i += bytesPX {
		r, a := row[i:i+bytesPX], above[i:i+bytesPX]
		for c := range min(len(r), len(a), len(left)) {
			up := int32(a[c])
			v := int32(r[c]+uint8(paeth(left[c], up, corner[c]))) & 255
			r[c], left[c], corner[c] = uint8(v), v, up
		}
	}
}

// paeth gives that of a, b and c which is nearest to a+b-c; of equally near ones a before b before c. It asks no branch
// of the processor: it is the lower of a and b where c has come two thirds of the way from it to the higher, or more; the
// higher where c has come one third, or less; else c. All 2^24 cases are tested against the standard's words.
func paeth(a, b, c int32) int32 {
	low, high, turn := min(a, b), max(a, b), 3*c-(a+b)
	nearest := c
	if high <= turn {
		nearest = low
	}
	if turn <= low {
		nearest = high
	}
	return nearest
}
