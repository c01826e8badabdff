package inflate

import "math/bits"

// coding is a code in order: shorter codes first, then lower symbols.
type coding struct {
	sorted [288]uint16         // symbols that have a code
	count  [maxBits + 1]uint16 // how many have codes of each length
	longest,
	symbols int
}

// order sorts symbols by the lengths of their codes, 0 for none. It tells whether the code is complete: every row of bits
// begins with a code. A code of one symbol and bit, and one of none, pass too, as compress/flate has it.
func (c *coding) order(lengths []uint8) bool {
	c.count, c.longest = [maxBits + 1]uint16{}, 0
	for _, n := range lengths {
		c.count[n&15]++
	}
	c.symbols = len(lengths) - int(c.count[0])
	var next [maxBits + 1]uint16 // where symbols of each length begin
	used, at := 0, uint16(0)     // used: how many of the longest codes so far are taken
	for n := 1; n <= maxBits; n++ {
		next[n] = at
		at += c.count[n]
		used = used<<1 + int(c.count[n])
		if c.count[n] > 0 {
			c.longest = n
		}
	}
	if used != 1<<maxBits && (c.symbols > 1 || c.longest > 1) {
		return false
	}
	for symbol, n := range lengths {
		if n > 0 {
			c.sorted[next[n&15]] = uint16(symbol)
			next[n&15]++
		}
	}
	return true
}

// fill writes a table of 1<<width entries and the second tables behind it: entry gives those of symbols whose code has
// some bits, second leads to a second table, none is where there is no code. It gives the mask of what selects from a
// second table.
func fill[E ~uint8 | ~uint32](c *coding, table []E, width int, entry func(n int, bits uint) E, second, none E) uint64 {
	table[0] = none
	code, sorted := 0, c.sorted[:c.symbols]
	for n := 1; n <= width; n++ {
		half := 1 << (n - 1)
		copy(table[half:2*half], table[:half])
		code <<= 1
		for range c.count[n] {
			table[reversed(code, n)] = entry(int(sorted[0]), uint(n))
			sorted, code = sorted[1:], code+1
		}
	}
	if c.longest <= width {
		return 0
	}
	return fillSecond(c, table, width, code, sorted, entry, second)
}

// fillSecond writes the second tables.
func fillSecond[E ~uint8 | ~uint32](c *coding, table []E, width, code int, sorted []uint16,
	entry func(n int, bits uint) E, second E) uint64 {
	extra := c.longest - width
	first, end := -1, 1<<width // the table's index that leads to the second table; where the next one begins
	for n := width + 1; n <= c.longest; n++ {
		code <<= 1
		for range c.count[n] {
			full := reversed(code, n)
			if i := full & (1<<width - 1); i != first {
				first = i
				table[i] = second | E(uint32(end)<<8)
				end += 1 << extra
			}
			e := entry(int(sorted[0]), uint(n))
			for i := full >> width; i < 1<<extra; i += 1 << (n - width) {
				table[end-1<<extra+i] = e
			}
			sorted, code = sorted[1:], code+1
		}
	}
	return 1<<extra - 1
}

// reversed is a code of n bits with its first bit lowest, as the stream has it.
func reversed(code, n int) int { return int(bits.Reverse16(uint16(code)) >> (16 - n)) }

// joinLiterals puts up to three literals into one entry where their codes fit. It goes down, since what follows a code
// stands at a lower index and must still be alone.
func joinLiterals(table *[1 << symbolBits]symbol) {
	for i := len(table) - 1; i >= 0; i-- {
		e := table[i]
		if e&literals == 0 {
			continue
		}
		used := e & 63
		next := table[i>>used]
		if used += next & 63; next&literals == 0 || used > symbolBits {
			continue
		}
		e += next&255 + next&^255<<8
		next = table[i>>used]
		if next&literals != 0 && used+next&63 <= symbolBits {
			e += next&255 + next&^255<<16
		}
		table[i] = e
	}
}

// shortest is the bits of the shortest code of a literal, more than any where there is none.
func (c *coding) shortest() int {
	at := 0
	for n, count := range c.count[1:] {
		for range count {
			if c.sorted[at] < 256 {
				return n + 1
			}
			at++
		}
	}
	return maxBits + 1
}
