//go:build !purego && (amd64 || arm64)

package raster

import "unsafe"

// load64 and store64 move eight bytes, little-endian, at a byte offset. They check no bounds: the lengths were checked
// at the top of the kernel that uses them. Both kinds of machine are little-endian and take any alignment.
func load64(p []byte, at int) uint64 {
	return *(*uint64)(unsafe.Add(unsafe.Pointer(unsafe.SliceData(p)), at))
}

func store64(p []byte, at int, v uint64) {
	*(*uint64)(unsafe.Add(unsafe.Pointer(unsafe.SliceData(p)), at)) = v
}
