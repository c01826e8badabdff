package inflate

import "tamis/pkg/kernel"

const (
	maxCopy = 258 // bytes a copy can have
	lookups = 2   // of literals between two refills
)

// symbols unpacks a block's symbols until end is reached, the block ends or the input is low; first is where the room's
// history begins. It tells where it stopped.
//
// One turn takes up to two entries of literals, then what else there is. The first is taken without a branch, which in
// photographs nobody could foresee: it may be of no literals, and then uses no bits and counts for nothing. 56 bits or
// more are there when a turn begins: two entries leave enough to look up a third, and after a refill there are the 48 of
// the longest copy. Writing past end is what slack is for, and reading ahead is looked at once a turn.
//
// long: the state lives in registers; calls would spill it.
func (d *Decoder) symbols(room []byte, at, end, first int) (int, error) {
	t, in := d.codes, d.in
	pos, bits, count := d.pos, d.bits, d.count
	t.end, t.first, t.inEnd = end, first, len(in)-ahead // kept there they take no registers
	why := goOn

	bits |= kernel.Load64(in, pos) << (count & 63)
	pos += int(7 - count>>3&7)
	count |= 56
	e := t.symbols[bits&(1<<symbolBits-1)]
	for at < t.end && pos <= t.inEnd {
		kernel.Store32(room, at, uint32(e>>8))
		at += int(e >> 6 & 3)
		bits >>= e & 63
		count -= uint64(e)
		e = t.symbols[bits&(1<<symbolBits-1)]
		if e&literals != 0 {
			kernel.Store32(room, at, uint32(e>>8))
			at += int(e >> 6 & 3)
			bits >>= e & 63
			count -= uint64(e)
			e = t.symbols[bits&(1<<symbolBits-1)]
			bits |= kernel.Load64(in, pos) << (count & 63)
			pos += int(7 - count>>3&7)
			count |= 56
			if e&literals != 0 {
				continue
			}
		} else {
			bits |= kernel.Load64(in, pos) << (count & 63)
			pos += int(7 - count>>3&7)
			count |= 56
		}
		if e >= special {
			if e&noCode == second {
				e = t.symbols[uint64(e>>8&(1<<22-1))+bits>>symbolBits&t.symbolSecond]
			}
			if e&literals != 0 {
				kernel.Store32(room, at, uint32(e>>8))
				at++
				bits >>= e & 63
				count -= uint64(e)
				bits |= kernel.Load64(in, pos) << (count & 63)
				pos += int(7 - count>>3&7)
				count |= 56
				e = t.symbols[bits&(1<<symbolBits-1)]
				continue
			}
			if e >= special {
				if e >= noCode {
					why = noSuchCode
					break
				}
				bits >>= e >> 21 & 31
				count -= uint64(e >> 21 & 31)
				why = blockEnded
				break
			}
		}
		length := int(uint64(e>>8&511) + bits&(1<<(e>>21&31)-1)>>(e>>17&15))
		bits >>= e >> 21 & 31
		count -= uint64(e >> 21 & 31)

		back := t.distances[bits&(1<<distanceBits-1)]
		if back >= farther {
			if back >= noDistance {
				why = noSuchCode
				break
			}
			back = t.distances[uint64(back>>8&(1<<22-1))+bits>>distanceBits&t.distanceSecond]
			if back >= noDistance {
				why = noSuchCode
				break
			}
		}
		far := int(uint64(back>>8&(1<<16-1)) + bits&(1<<(back&63)-1)>>(back>>24&15))
		bits >>= back & 63
		count -= uint64(back)
		bits |= kernel.Load64(in, pos) << (count & 63)
		pos += int(7 - count>>3&7)
		count |= 56
		e = t.symbols[bits&(1<<symbolBits-1)]

		from, stop := at-far, at+length
		if from < t.first {
			why = tooFar
			break
		}
		if far >= 8 {
			for {
				kernel.Store64(room, at, kernel.Load64(room, from))
				at, from = at+8, from+8
				if at >= stop {
					break
				}
			}
		} else {
			pattern := kernel.Load64(room, from) & (1<<(8*far&63) - 1) * nearOnes[far&7]
			for step := int(nearStep[far&7]); at < stop; at += step {
				kernel.Store64(room, at, pattern)
			}
		}
		at = stop
	}
	if why == blockEnded {
		d.blockEnd()
	}
	d.pos, d.bits, d.count = pos, bits, count
	return at, stops[why]
}

// reason is why symbols stops.
type reason int

const (
	goOn reason = iota // there is more, but no input or no room
	blockEnded
	noSuchCode
	tooFar
)

// stops are the errors of the reasons.
var stops = [...]error{goOn: nil, blockEnded: nil, noSuchCode: errCode, tooFar: errFar}

// nearOnes makes a word of the first far bytes, again and again; nearStep is the largest multiple of far that fits.
var (
	nearOnes = [8]uint64{1: 0x0101010101010101, 2: 0x0001000100010001, 3: 0x0001000001000001, 4: 0x0000000100000001,
		5: 0x0000010000000001, 6: 0x0001000000000001, 7: 0x0100000000000001}
	nearStep = [8]uint8{1: 8, 2: 8, 3: 6, 4: 8, 5: 5, 6: 6, 7: 7}
)
