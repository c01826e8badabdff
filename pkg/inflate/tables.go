package inflate

// The tables are looked up by the next bits. A code no longer than a table's bits is found at every index that begins
// with it; a longer one in a second table, one for each beginning, all of them as wide as the longest code needs.
const (
	symbolBits   = 12
	distanceBits = 8
	lengthBits   = 7 // as long as those codes can be

	// At least two codes share a second table.
	symbolRoom   = 1<<symbolBits + maxSymbols/2<<(maxBits-symbolBits)
	distanceRoom = 1<<distanceBits + maxDistances/2<<(maxBits-distanceBits)
)

// tables are a block's.
type tables struct {
	symbols        [symbolRoom]symbol
	distances      [distanceRoom]distance
	lengths        [1 << lengthBits]uint8 // of code lengths: bits 0..2 the code's own, 3..7 its symbol; 0 no code
	symbolSecond   uint64                 // what selects from a second table
	distanceSecond uint64

	end, first, inEnd int // the limits of Decoder.symbols while it runs
}

// symbol is an entry for literals, a length or the block's end.
//
//	bits 0..5   how many bits the literals use
//	bits 6..7   how many literals, 0..3
//	bits 8..31  the literals, first one first
//
// and where there is none
//
//	bits 0..7   0
//	bits 8..16  the length, 3..258, without extra bits
//	bits 17..20 how many bits the code uses
//	bits 21..25 how many it uses with extra bits
//	bits 30..31 0, or what is special; the place of a second table is in bits 8..29
type symbol uint32

const (
	maxLiterals = 3
	literals    = symbol(3 << 6)
	literal     = symbol(1 << 6)

	special = symbol(1 << 30) // and above
	second  = symbol(1 << 30)
	ending  = symbol(2 << 30)
	noCode  = symbol(3 << 30)
)

// distance is an entry for a distance.
//
//	bits 0..5   how many bits the code uses, with extra bits
//	bits 8..22  the distance, 1..24577, without extra bits, or the place of a second table
//	bits 24..27 how many bits the code uses
//	bits 30..31 0, or what is special
type distance uint32

const (
	farther    = distance(special)
	noDistance = distance(noCode)
)

// build makes the tables of a block from the lengths of its codes. It tells whether they are complete codes, or of one
// code of a single bit, or of none.
func (t *tables) build(symbols, distances []uint8) bool {
	var c coding
	if !c.order(symbols) {
		return false
	}
	t.symbolSecond = fill(&c, t.symbols[:], symbolBits, symbolEntry, second, noCode)
	if 2*c.shortest() <= symbolBits {
		joinLiterals((*[1 << symbolBits]symbol)(t.symbols[:]))
	}
	if !c.order(distances) {
		return false
	}
	t.distanceSecond = fill(&c, t.distances[:], distanceBits, distanceEntry, farther, noDistance)
	return true
}

// buildLengths makes the table of code lengths.
func (t *tables) buildLengths(lengths []uint8) bool {
	var c coding
	if !c.order(lengths) {
		return false
	}
	fill(&c, t.lengths[:], lengthBits, func(n int, bits uint) uint8 { return uint8(n)<<3 | uint8(bits) }, 0, 0)
	return true
}

// fixedTables are those of blocks that bring none.
//
// Source: RFC 1951, 3.2.6.
func fixedTables() *tables {
	var symbols [288]uint8
	for n := range symbols {
		switch {
		case n < 144:
			symbols[n] = 8
		case n < 256:
			symbols[n] = 9
		case n < 280:
			symbols[n] = 7
		default:
			symbols[n] = 8
		}
	}
	var distances [32]uint8
	for n := range distances {
		distances[n] = 5
	}
	t := new(tables)
	t.build(symbols[:], distances[:])
	return t
}

// symbolEntry is the entry of a symbol whose code has some bits.
//
// Source: RFC 1951, 3.2.5.
func symbolEntry(n int, bits uint) symbol {
	e, extra := symbol(0), uint(0)
	switch {
	case n < 256:
		return literal | symbol(n)<<8 | symbol(bits)
	case n == 256:
		return ending | symbol(bits)<<21
	case n < 265:
		e = symbol(n - 254)
	case n < 285:
		extra = uint(n-261) / 4
		e = symbol(3 + (4+(n-261)%4)<<extra)
	case n == 285:
		e = maxCopy
	default:
		return noCode
	}
	return e<<8 | symbol(bits)<<17 | symbol(bits+extra)<<21
}

// distanceEntry is the entry of a distance whose code has some bits.
//
// Source: RFC 1951, 3.2.5.
func distanceEntry(n int, bits uint) distance {
	e, extra := distance(n+1), uint(0)
	switch {
	case n >= maxDistances:
		return noDistance
	case n >= 4:
		extra = uint(n-2) / 2
		e = distance(1 + (2+n%2)<<extra)
	}
	return e<<8 | distance(bits)<<24 | distance(bits+extra)
}
