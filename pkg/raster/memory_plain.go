//go:build purego || !(amd64 || arm64)

package raster

import "encoding/binary"

// load64 and store64 move eight bytes, little-endian, at a byte offset.
func load64(p []byte, at int) uint64 { return binary.LittleEndian.Uint64(p[at:]) }

func store64(p []byte, at int, v uint64) { binary.LittleEndian.PutUint64(p[at:], v) }
