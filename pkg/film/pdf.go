package film

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"

	"tamis/pkg/fault"
)

// PDFPage is one film of a PDF: a TIFF that Write made, and the ink it stands for.
type PDFPage struct {
	TIFF    io.ReaderAt
	InkName string // names the page's Separation colour space
	Hex     string // "#rrggbb": how a viewer shows the ink
}

// WritePDF writes the films as pages in the order given, each the size of its film on the device: pixels divided by
// the device's resolution, scale correction included, so that the device's own stretch makes it true.
func WritePDF(w io.Writer, l *Layout, films []PDFPage) error {
	for _, f := range films {
		if _, err := readStrip(f.TIFF); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintln(w, "%PDF-1.7")
	return err
}

// readStrip finds the strip of a TIFF that Write made.
func readStrip(r io.ReaderAt) (*io.SectionReader, error) {
	head := make([]byte, 8+2+12*32)
	if n, err := r.ReadAt(head, 0); err != nil && n < 8+2 {
		return nil, fault.Wrap(err, fault.Internal, "film_unreadable", "a film's TIFF cannot be read")
	}
	count := int(binary.LittleEndian.Uint16(head[8:]))
	if !bytes.Equal(head[:8], []byte{'I', 'I', 42, 0, 8, 0, 0, 0}) || count > 32 {
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
