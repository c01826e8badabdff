//go:build purego || !(amd64 || arm64)

package inflate

import "encoding/binary"

// load64, store64 and store32 move eight or four bytes, little-endian, at a byte offset.
func load64(p []byte, at int) uint64 { return binary.LittleEndian.Uint64(p[at:]) }

func store64(p []byte, at int, v uint64) { binary.LittleEndian.PutUint64(p[at:], v) }

func store32(p []byte, at int, v uint32) { binary.LittleEndian.PutUint32(p[at:], v) }
