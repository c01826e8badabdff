package raster

import (
	"fmt"
	"math/bits"

	"tamis/pkg/pages"
)

// Bitmap is a picture of one bit a pixel, bit 1 = ink, rows top down.
//
// Pixel x of row y is bit x&63, counted from the least significant, of Words[y*WordsPerRow+x>>6]: so a count of
// trailing zeros finds the next pixel to the right. The bits of a row's last word past Width are 0, and every method
// keeps them so; code that writes Words itself must do the same. Not safe for writing from several goroutines unless
// they keep to different rows.
type Bitmap struct {
	Width, Height, WordsPerRow int
	Words                      []uint64
}

// NewBitmap makes an empty bitmap. It panics on a size that is not positive: sizes are checked where they come in.
func NewBitmap(width, height int) *Bitmap {
	if width <= 0 || height <= 0 {
		panic(fmt.Sprintf("raster: bitmap of %d x %d", width, height))
	}
	words := (width + 63) / 64
	return &Bitmap{Width: width, Height: height, WordsPerRow: words, Words: pages.Make[uint64](words * height)}
}

// Row is the y-th row, WordsPerRow words, sharing memory with the bitmap.
func (b *Bitmap) Row(y int) []uint64 { return b.Words[y*b.WordsPerRow : (y+1)*b.WordsPerRow] }

// At tells whether pixel (x, y) is ink; outside the bitmap there is none.
func (b *Bitmap) At(x, y int) bool {
	if x < 0 || y < 0 || x >= b.Width || y >= b.Height {
		return false
	}
	return b.Words[y*b.WordsPerRow+x>>6]>>(x&63)&1 != 0
}

// Set makes pixel (x, y) ink or bare; outside the bitmap it does nothing.
func (b *Bitmap) Set(x, y int, ink bool) {
	if x < 0 || y < 0 || x >= b.Width || y >= b.Height {
		return
	}
	word, bit := &b.Words[y*b.WordsPerRow+x>>6], uint64(1)<<(x&63)
	if ink {
		*word |= bit
	} else {
		*word &^= bit
	}
}

// FillRect makes columns x0..x1-1 of rows y0..y1-1 ink, clipped to the bitmap.
func (b *Bitmap) FillRect(x0, y0, x1, y1 int) {
	x0, x1 = max(x0, 0), min(x1, b.Width)
	for y := max(y0, 0); y < min(y1, b.Height); y++ {
		FillBits(b.Row(y), x0, x1)
	}
}

// Count is the number of ink pixels.
func (b *Bitmap) Count() int {
	n := 0
	for _, w := range b.Words {
		n += bits.OnesCount64(w)
	}
	return n
}

// FillBits sets bits x0..x1-1 of a row; x1 <= x0 sets none. Both lie within the row: it panics otherwise.
func FillBits(row []uint64, x0, x1 int) {
	if x1 <= x0 {
		return
	}
	first, last := x0>>6, (x1-1)>>6
	head, tail := ^uint64(0)<<(x0&63), ^uint64(0)>>(63-(x1-1)&63)
	if first == last {
		row[first] |= head & tail
		return
	}
	row[first] |= head
	for i := first + 1; i < last; i++ {
		row[i] = ^uint64(0)
	}
	row[last] |= tail
}

// OrBits lays src, width bits long, over dst with its first bit at column x of dst: ink joins ink. The bits of src past
// width must be 0, as in a Bitmap. Columns left of 0 and past the end of dst are cut off.
func OrBits(dst, src []uint64, x int) {
	shift, word := uint(x&63), x>>6 // an arithmetic shift: floor for negative x too
	for i, w := range src {
		if w == 0 {
			continue
		}
		if j := word + i; j >= 0 && j < len(dst) {
			dst[j] |= w << shift
		}
		if j := word + i + 1; shift != 0 && j >= 0 && j < len(dst) {
			dst[j] |= w >> (64 - shift)
		}
	}
}

// MirrorBits writes the width bits of src to dst in reverse order: dst's bit x is src's bit width-1-x. Both have
// (width+63)/64 words, do not overlap, and hold 0 past width.
func MirrorBits(dst, src []uint64, width int) {
	n := (width + 63) / 64
	shift := uint(n*64 - width)
	for i := range n {
		w := bits.Reverse64(src[n-1-i]) >> shift
		if i+1 < n && shift != 0 {
			w |= bits.Reverse64(src[n-2-i]) << (64 - shift)
		}
		dst[i] = w
	}
}

// CountBits is the number of set bits in columns x0..x1-1 of a row; x1 <= x0 has none.
func CountBits(row []uint64, x0, x1 int) int {
	if x1 <= x0 {
		return 0
	}
	first, last := x0>>6, (x1-1)>>6
	head, tail := ^uint64(0)<<(x0&63), ^uint64(0)>>(63-(x1-1)&63)
	if first == last {
		return bits.OnesCount64(row[first] & head & tail)
	}
	n := bits.OnesCount64(row[first]&head) + bits.OnesCount64(row[last]&tail)
	for _, w := range row[first+1 : last] {
		n += bits.OnesCount64(w)
	}
	return n
}
