//go:build purego || !(amd64 || arm64)

package kernel

import "encoding/binary"

// Load64 reads eight bytes, little-endian, at a byte offset.
func Load64(p []byte, at int) uint64 { return binary.LittleEndian.Uint64(p[at:]) }

// Store64 writes eight bytes.
func Store64(p []byte, at int, v uint64) { binary.LittleEndian.PutUint64(p[at:], v) }

// Store32 writes four bytes.
func Store32(p []byte, at int, v uint32) { binary.LittleEndian.PutUint32(p[at:], v) }

// StoreBig64 writes eight bytes, the highest first.
func StoreBig64(p []byte, at int, v uint64) { binary.BigEndian.PutUint64(p[at:], v) }
