package halftone

import (
	"fmt"
	"math/bits"
)

// rankBy gives each entry its place in rising order of key; equal keys go by position. It panics where keys differ in
// too many bits to leave room for the positions beside them, which keys of maxSupercellPX entries do from 42 bits on.
func rankBy(keys []uint64) []uint32 {
	low, high := differing(keys)
	width := bits.Len(uint(len(keys) - 1))
	if high-low+width > 64 {
		panic(fmt.Sprintf("halftone: %d keys of %d bits", len(keys), high-low))
	}
	packed := make([]uint64, len(keys))
	mask := uint64(1)<<(high-low) - 1
	for i, k := range keys {
		packed[i] = k>>low&mask<<width | uint64(i)
	}
	rank := make([]uint32, len(keys))
	for place, k := range sorted(packed, width) {
		rank[k&(1<<width-1)] = uint32(place)
	}
	return rank
}

// sorted puts keys in rising order of their bits from the given one on, and keeps equal ones in order. It works on keys
// and on memory as large, and gives back the one that holds the result.
//
// It sorts digit by digit from the lowest, only over bits that are not the same everywhere: unlike comparing, that costs
// the same for any keys. A digit of 11 bits keeps its counts in the first cache, the lines written in the second.
func sorted(keys []uint64, from int) []uint64 {
	const digit = 11
	low, high := differing(keys)
	next := make([]uint64, len(keys))
	for shift := max(low, from); shift < high; shift += digit {
		var start [1 << digit]uint32
		for _, k := range keys {
			start[k>>(shift&63)&(1<<digit-1)]++
		}
		sum := uint32(0)
		for i, n := range start {
			start[i] = sum
			sum += n
		}
		for _, k := range keys {
			d := k >> (shift & 63) & (1<<digit - 1)
			next[start[d]] = k
			start[d]++
		}
		keys, next = next, keys
	}
	return keys
}

// differing gives the bits, low to high-1, that not all keys have in common; low is high where they are all the same.
func differing(keys []uint64) (low, high int) {
	every, any := ^uint64(0), uint64(0)
	for _, k := range keys {
		every &= k
		any |= k
	}
	differ := every ^ any
	if high = bits.Len64(differ); high == 0 {
		return 0, 0
	}
	return bits.TrailingZeros64(differ), high
}
