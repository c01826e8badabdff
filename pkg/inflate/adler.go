package inflate

import "encoding/binary"

// adler goes on with an Adler-32 check sum.
//
// The bytes are added up in lanes of 16 bits, four bytes at a time: lane by lane the bytes, and the sums of those so far, which
// count each byte as often as words follow it. After adlerWords no lane has run over.
//
// Source: RFC 1950, 8.2.
func adler(sum uint32, p []byte) uint32 {
	const (
		base = 65521
		most = 1 << 20 // bytes before b might run over
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
	for i := 0; i < len(p); i += 8 {
		w := binary.LittleEndian.Uint64(p[i:])
		even += w & lanes
		odd += w >> 8 & lanes
		evens += even
		odds += odd
	}
	for k := uint64(0); k < 4; k++ {
		e, o := even>>(16*k)&0xffff, odd>>(16*k)&0xffff
		bytes += e + o
		weighted += 8*(evens>>(16*k)&0xffff+odds>>(16*k)&0xffff) - 2*k*(e+o) - o
	}
	return bytes, weighted
}
