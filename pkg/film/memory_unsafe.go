//go:build !purego && (amd64 || arm64)

package film

import (
	"math/bits"
	"unsafe"
)

// load64 reads eight bytes at a byte offset, little-endian; storeBig64 writes eight, big-endian. They check no bounds:
// lists of changes end in quadSlack, and a row's room is made by bitBuffer.grow. Both kinds of machine are
// little-endian and take any alignment.
func load64(p []byte, at int) uint64 {
	return *(*uint64)(unsafe.Add(unsafe.Pointer(unsafe.SliceData(p)), at))
}

func storeBig64(p []byte, at int, v uint64) {
	*(*uint64)(unsafe.Add(unsafe.Pointer(unsafe.SliceData(p)), at)) = bits.ReverseBytes64(v)
}
