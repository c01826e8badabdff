package inflate

import "tamis/pkg/kernel"

// adler goes on with an Adler-32 check sum.
//
// The bytes are added up in lanes of 16 bits, four at a time: the bytes themselves, and the sums so far, which count each
// byte once for every word from its own on. After adlerWords no lane has run over.
//
// Source: RFC 1950, 8.2.
func adler(sum uint32, p []byte) uint32 {
	const (
		base = 65521
		most = 1 << 20 // bytes at a time; b stays below 2^58, were all of them 255
	)
	a, b := uint64(sum&0xffff), uint64(sum>>16)
	for len(p) > 0 {
		part := p[:min(most, len(p))]
		p = p[len(part):]
		for ; len(part) >= 8*adlerWords; part = part[8*adlerWords:] {
			bytes, weighted := adlerLanes((*[8 * adlerWords]byte)(part))
			b += 8*adlerWords*a + weighted
			a += bytes
		}
		for _, v := range part {
			a += uint64(v)
			b += a
		}
		a, b = a%base, b%base
	}
	return uint32(b<<16 | a)
}

// adlerWords is how many words' sums fit 16 bits: 255*(22+21+..+1) = 64515.
const adlerWords = 22

// adlerLanes gives the sum of the bytes, and that of the bytes times how many there are from each on.
func adlerLanes(p *[8 * adlerWords]byte) (bytes, weighted uint64) {
	const lanes = 0x00ff00ff00ff00ff
	var even, odd, evens, odds uint64 // of lanes: sums, and sums of sums
	for i := 0; i < len(p); i += 16 {
		v, w := kernel.Load64(p[:], i), kernel.Load64(p[:], i+8)
		even += v & lanes
		odd += v >> 8 & lanes
		evens += even
		odds += odd
		even += w & lanes
		odd += w >> 8 & lanes
		evens += even
		odds += odd
	}
	const (
		all    = 0x0001000100010001 // adds up the lanes, in the highest
		placed = 0x0000000100020003 // and those of a word's second, third and fourth pair of bytes once, twice and thrice
		halves = 0x0000ffff0000ffff
	)
	bytes = (even + odd) * all >> 48
	wide := evens&halves + evens>>16&halves + odds&halves + odds>>16&halves
	places := 2*(even*placed>>48+odd*placed>>48) + odd*all>>48
	return bytes, 8*(wide&(1<<32-1)+wide>>32) - places
}
