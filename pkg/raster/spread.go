package raster

import "encoding/binary"

// SpreadSlack is how many bytes past its pixels the row given to Spread must have.
const SpreadSlack = 16

// Spread upsamples a source row along the axis by straight lines: two bytes a device pixel, little-endian,
// 0..1020 = round half up (4 (a (32-w) + b w) / 32). dst holds SpreadSlack bytes more than its pixels; they end as 0.
// It panics on a row shorter than that, or a source row shorter than the axis.
func (a *Axis) Spread(dst []byte, src []uint8) {
	count := len(a.Index)
	if len(dst) < 2*count+SpreadSlack || len(src) <= int(a.Index[count-1]) {
		panic("raster: rows shorter than the axis")
	}
	a.spread(a, dst, src)
	clear(dst[2*count:][:SpreadSlack])
}

// spreadKernel does what Spread says, but may leave anything in the slack; the lengths are as Spread has checked them.
type spreadKernel func(a *Axis, dst []byte, src []uint8)

// spreadGeneric is the definition, pixel by pixel.
func spreadGeneric(a *Axis, dst []byte, src []uint8) {
	for i, at := range a.Index {
		w := int(a.Weight[i])
		v := int(src[at]) * 32
		if w != 0 {
			v += (int(src[at+1]) - int(src[at])) * w
		}
		binary.LittleEndian.PutUint16(dst[2*i:], uint16((v+4)>>3))
	}
}
