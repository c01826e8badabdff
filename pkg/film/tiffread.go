package film

import (
	"bytes"
	"encoding/binary"
	"io"

	"tamis/pkg/fault"
)

// readStrip finds the strip of a TIFF that Write made.
func readStrip(r io.ReaderAt) (*io.SectionReader, error) {
	head := make([]byte, 8+2+12*maxEntries)
	if n, err := r.ReadAt(head, 0); err != nil && n < 8+2 {
		return nil, fault.Wrap(err, fault.Internal, "film_unreadable", "a film's TIFF cannot be read")
	}
	count := int(binary.LittleEndian.Uint16(head[8:]))
	if !bytes.Equal(head[:8], []byte{'I', 'I', 42, 0, 8, 0, 0, 0}) || count > maxEntries {
		return nil, fault.Newf(fault.Internal, "", "film_foreign", "a film's TIFF is not one of ours")
	}
	var offset, size uint32
	for i := range count {
		e := head[10+12*i:]
		switch binary.LittleEndian.Uint16(e) {
		case tagStripOffsets:
			offset = binary.LittleEndian.Uint32(e[8:])
		case tagStripByteCounts:
			size = binary.LittleEndian.Uint32(e[8:])
		}
	}
	return io.NewSectionReader(r, int64(offset), int64(size)), nil
}

// maxEntries bounds the directory that readStrip reads; entries makes 16.
const maxEntries = 32
