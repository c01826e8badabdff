//go:build !purego && (amd64 || arm64)

package kernel

import (
	"math/bits"
	"unsafe"
)

// Load64 reads eight bytes, little-endian, at a byte offset. Neither it nor the stores below check bounds: who calls them
// has checked the lengths, or has slack behind what the loop can reach. Both kinds of machine are little-endian and take
// any alignment.
func Load64(p []byte, at int) uint64 {
	return *(*uint64)(unsafe.Add(unsafe.Pointer(unsafe.SliceData(p)), at))
}

// Store64 writes eight bytes; see Load64.
func Store64(p []byte, at int, v uint64) {
	*(*uint64)(unsafe.Add(unsafe.Pointer(unsafe.SliceData(p)), at)) = v
}

// Store32 writes four bytes; see Load64.
func Store32(p []byte, at int, v uint32) {
	*(*uint32)(unsafe.Add(unsafe.Pointer(unsafe.SliceData(p)), at)) = v
}

// StoreBig64 writes eight bytes, the highest first; see Load64.
func StoreBig64(p []byte, at int, v uint64) { Store64(p, at, bits.ReverseBytes64(v)) }
