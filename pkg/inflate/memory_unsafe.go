//go:build !purego && (amd64 || arm64)

package inflate

import "unsafe"

// load64, store64 and store32 move eight or four bytes, little-endian, at a byte offset. They check no bounds: ahead of
// the input and slack of a band's room are what the loop that uses them can reach. Both kinds of machine are
// little-endian and take any alignment.
func load64(p []byte, at int) uint64 {
	return *(*uint64)(unsafe.Add(unsafe.Pointer(unsafe.SliceData(p)), at))
}

func store64(p []byte, at int, v uint64) {
	*(*uint64)(unsafe.Add(unsafe.Pointer(unsafe.SliceData(p)), at)) = v
}

func store32(p []byte, at int, v uint32) {
	*(*uint32)(unsafe.Add(unsafe.Pointer(unsafe.SliceData(p)), at)) = v
}
