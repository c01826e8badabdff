//go:build purego || !(amd64 || arm64)

package film

import "encoding/binary"

// load64 reads eight bytes at a byte offset, little-endian; storeBig64 writes eight, big-endian.
func load64(p []byte, at int) uint64 { return binary.LittleEndian.Uint64(p[at:]) }

func storeBig64(p []byte, at int, v uint64) { binary.BigEndian.PutUint64(p[at:], v) }
