package artwork

import "tamis/pkg/pages"

// counter counts rows, one after another from the top down. One belongs to one goroutine.
type counter struct {
	img         *Image
	tallies     []tally // of every cell
	fine        fine    // of opaque ones, what is not yet in tallies
	transparent uint64

	// Whether each pixel is alike to the one above it, below it and to its right, 64 to a word: what lies off the picture
	// is alike. still is where all four neighbours are.
	above, below, right, still []uint64
}

func newCounter(img *Image, y0 int) *counter {
	words := (img.Width + 63) / 64
	c := &counter{img: img, tallies: pages.Make[tally](cells), above: make([]uint64, words), below: make([]uint64, words),
		right: make([]uint64, words), still: make([]uint64, words)}
	c.compare(c.below, y0-1)
	return c
}

// compare tells of each pixel of row y whether it is alike to the one below.
func (c *counter) compare(dst []uint64, y int) {
	if y < 0 || y == c.img.Height-1 {
		for i := range dst {
			dst[i] = ^uint64(0)
		}
		return
	}
	alikeAll(dst, c.pixels(y), c.pixels(y+1))
}

func (c *counter) pixels(y int) []uint8 { return c.img.Pix[4*y*c.img.Width : 4*(y+1)*c.img.Width] }

// row counts row y. A pixel is still where its four neighbours are its equals, within stillTolerance.
func (c *counter) row(y int) {
	row := c.pixels(y)
	c.neighbours(row, y)
	for _, still := range c.still {
		for n := min(64, len(row)/4); n > 0; n-- {
			p := row[0:4:4]
			switch p[3] {
			case 255:
				c.opaque(uint64(word(p)), still&1)
			case 0:
				c.transparent++
			default:
				c.tallies[binOf(p)].count(p, still&1)
			}
			row, still = row[4:], still>>1
		}
	}
}

// neighbours fills still for row y.
func (c *counter) neighbours(row []uint8, y int) {
	c.above, c.below = c.below, c.above
	c.compare(c.below, y)
	last := c.img.Width - 1
	c.right[last/64] = 0
	alikeAll(c.right[:(last+63)/64], row[:4*last], row[4:])
	c.right[last/64] |= 1 << (last % 64)
	left := uint64(1)
	for i, right := range c.right {
		c.still[i] = right & (right<<1 | left) & c.above[i] & c.below[i]
		left = right >> 63
	}
}

// fine counts opaque pixels, all and the still ones, in a quarter of a megabyte each, where tallies would leave the
// cache: a cell holds how many and, of each channel, the sum of the three bits that the cell's number does not say, in
// 16 bits each; before they can run over it is spilled into its tally.
type fine struct {
	all   [opaqueCells + 8*9]uint64
	still [opaqueCells]uint64
}

// fineMost is how many pixels a cell of fine can hold.
const fineMost = 0xffff / 7

// opaque counts an opaque pixel (word's), once more as still where still is 1 and not 0.
func (c *counter) opaque(px, still uint64) {
	at := px>>3&31<<10 | px>>11&31<<5 | px>>19&31 // binOf's
	one := 1 | px&7<<16 | px>>8&7<<32 | px>>16&7<<48
	c.fine.still[at] += one & -still
	all := c.fine.all[at] + one
	c.fine.all[at] = all
	if all&0xffff == fineMost {
		c.spill(int(at))
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
