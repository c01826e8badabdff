package raster

import "tamis/pkg/kernel"

// spreadWords is spreadGeneric four pixels at a time.
//
// Four pixels that lie after one source pixel are made by one multiplication: as one whole number a + (b-a) w of four
// 16-bit lanes is exact, borrows and all. They are made eight at a time, whether or not so many are wanted, as that is
// cheaper than a branch that cannot be foreseen: what runs over into the next source pixel's pixels is overwritten.
//
// Cost: 22 operations a source pixel or 8 device pixels; 0.44 ns a device pixel at 4.8 to one (plain slices: 0.83).
func spreadWords(a *Axis, dst []byte, src []uint8) {
	const ones = 0x0001_0001_0001_0001
	src = src[a.Index[0]:]
	lanes, next, x := a.lanes, uint64(src[0]), int(a.runs[0])
	for s, end := range a.runs[1:] {
		here := next
		next = uint64(src[min(s+1, len(src)-1)])
		base, rise := (here*32+4)*ones, next-here
		for {
			v0, v1 := kernel.Load64(lanes, 2*x), kernel.Load64(lanes, 2*x+8)
			kernel.Store64(dst, 2*x, (base+rise*v0)>>3&(0x1fff*ones))
			kernel.Store64(dst, 2*x+8, (base+rise*v1)>>3&(0x1fff*ones))
			if x += 8; x >= int(end) {
				break
			}
		}
		x = int(end)
	}
}
