package artwork

import "tamis/pkg/pages"

// counter counts rows, one after another from the top down. One belongs to one goroutine.
type counter struct {
	img         *Image
	tallies     []tally // of every cell
	fine        fine    // of opaque ones, what is not yet in tallies
	transparent uint64

	// Whether each pixel is alike to the one above it, below it, and to its right, from the one left of the row on: 1 or
	// 0. What lies off the picture is alike.
	above, below, right []uint8
}

func newCounter(img *Image, y0 int) *counter {
	c := &counter{img: img, tallies: pages.Make[tally](cells), above: make([]uint8, img.Width), below: make([]uint8, img.Width),
		right: make([]uint8, img.Width+1)}
	c.right[0], c.right[img.Width] = 1, 1
	c.compare(c.below, y0-1)
	return c
}

// compare tells of each pixel of row y whether it is alike to the one below.
func (c *counter) compare(dst []uint8, y int) {
	if y < 0 || y == c.img.Height-1 {
		for i := range dst {
			dst[i] = 1
		}
		return
	}
	alikeAll(dst, c.pixels(y), c.pixels(y+1))
}

func (c *counter) pixels(y int) []uint8 { return c.img.Pix[4*y*c.img.Width : 4*(y+1)*c.img.Width] }

// row counts row y. A pixel is still where its four neighbours are its equals, within stillTolerance.
func (c *counter) row(y int) {
	c.above, c.below = c.below, c.above
	c.compare(c.below, y)
	row := c.pixels(y)
	alikeAll(c.right[1:len(c.above)], row, row[4:])
	left, right, above, below := c.right, c.right[1:], c.above, c.below
	for x := range above {
		p := row[4*x : 4*x+4 : 4*x+4]
		still := uint64(left[x] & right[x] & above[x] & below[x])
		switch p[3] {
		case 255:
			c.opaque(p, still)
		case 0:
			c.transparent++
		default:
			c.tallies[binOf(p)].count(p, still)
		}
	}
}

// alikeAll tells of each pixel of a, for the length of dst, whether no channel of it is farther than stillTolerance from
// b's: in each of four lanes the difference and the tolerance, 0..6 where they are alike, on a bias that keeps the lanes
// apart.
func alikeAll(dst, a, b []uint8) {
	const ones, bias = 0x0001_0001_0001_0001, 0x0100_0100_0100_0100
	a, b = a[:4*len(dst)], b[:4*len(dst)]
	for i := range dst {
		d := (lanes(word(a[4*i:])) + bias + stillTolerance*ones - lanes(word(b[4*i:]))) ^ bias
		dst[i] = uint8(((d|(d+ones))&(0xfff8*ones) - 1) >> 63)
	}
}

// lanes spreads four bytes into lanes of 16 bits, in whatever order.
func lanes(w uint32) uint64 { return uint64(w&0x00ff00ff) | uint64(w&0xff00ff00)<<24 }

// fine counts opaque pixels, all and the still ones, in a quarter of a megabyte each, where tallies would leave the
// cache: a cell holds how many and, of each channel, the sum of the three bits that the cell's number does not say, in
// 16 bits each; before they can run over it is spilled into its tally.
type fine struct {
	all   [opaqueCells + 8*9]uint64
	still [opaqueCells]uint64
}

// fineMost is how many pixels a cell of fine can hold.
const fineMost = 0xffff / 7

// opaque counts an opaque pixel, once more as still where still is 1 and not 0.
func (c *counter) opaque(p []uint8, still uint64) {
	at := int(p[0]>>3)<<10 | int(p[1]>>3)<<5 | int(p[2]>>3) // binOf
	one := 1 | uint64(p[0]&7)<<16 | uint64(p[1]&7)<<32 | uint64(p[2]&7)<<48
	c.fine.still[at] += one & -still
	all := c.fine.all[at] + one
	c.fine.all[at] = all
	if all&0xffff == fineMost {
		c.spill(at)
	}
}

// spill moves what a cell of fine holds into its tally.
func (c *counter) spill(at int) {
	all, still, t := c.fine.all[at], c.fine.still[at], &c.tallies[at]
	c.fine.all[at], c.fine.still[at] = 0, 0
	t.n += all & 0xffff
	t.alpha += 255 * (all & 0xffff)
	t.still += still & 0xffff
	for i := range 3 {
		base := uint64(at) >> (10 - 5*i) & 31 << 3
		t.rgb[i] += 255 * (base*(all&0xffff) + all>>(16+16*i)&0xffff)
		t.stillRGB[i] += base*(still&0xffff) + still>>(16+16*i)&0xffff
	}
}

func (c *counter) spillAll() {
	for at := range c.fine.all {
		if c.fine.all[at] != 0 {
			c.spill(at)
		}
	}
}
