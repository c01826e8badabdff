package film

import (
	"encoding/binary"
	"io"
	"math"

	"tamis/pkg/fault"
)

// tiff writes the file round a strip whose length is known only at its end: header and directory first, with a blank
// for the length, then the strip, then the length. Little-endian.
//
// Source: TIFF Revision 6.0 (1992), sections 2, 3, 8 and 11.
type tiff struct {
	w      io.WriteSeeker
	l      *Layout
	name   string
	prefix int   // bytes before the strip
	strip  int64 // bytes of it so far
}

func newTIFF(w io.WriteSeeker, l *Layout, name string) *tiff { return &tiff{w: w, l: l, name: name} }

// maxStrip is the largest strip a classic TIFF can say.
const maxStrip = math.MaxUint32

func (t *tiff) begin() error {
	head := t.head(0)
	t.prefix = len(head)
	_, err := t.w.Write(head)
	return err
}

// code appends a piece of the strip.
func (t *tiff) code(p []byte) error {
	t.strip += int64(len(p))
	if t.strip+int64(t.prefix) > maxStrip {
		return fault.Newf(fault.TooLarge, "/print/width_mm", "film_too_large",
			"the film's file passes 4 GiB; print smaller or at a coarser resolution")
	}
	_, err := t.w.Write(p)
	return err
}

// end puts the strip's length in its place.
func (t *tiff) end() error {
	if _, err := t.w.Seek(-t.size(), io.SeekCurrent); err != nil {
		return err
	}
	if _, err := t.w.Write(t.head(uint32(t.strip))); err != nil {
		return err
	}
	_, err := t.w.Seek(t.strip, io.SeekCurrent)
	return err
}

// size is the file's length.
func (t *tiff) size() int64 { return int64(t.prefix) + t.strip }

// The types of directory entries in use.
const (
	tiffASCII    = 2
	tiffShort    = 3
	tiffLong     = 4
	tiffRational = 5
)

// entry is one directory entry; text and ratio lie after the directory, the rest in it.
type entry struct {
	tag, kind uint16
	value     uint32
	text      string
	ratio     [2]uint32
}

// head is everything before the strip.
func (t *tiff) head(stripBytes uint32) []byte {
	entries := t.entries(stripBytes)
	at := 8 + 2 + 12*len(entries) + 4 // where the values start that the directory cannot hold
	var extra []byte
	dir := binary.LittleEndian.AppendUint16(nil, uint16(len(entries)))
	stripOffset := 0
	for _, e := range entries {
		dir = binary.LittleEndian.AppendUint16(dir, e.tag)
		dir = binary.LittleEndian.AppendUint16(dir, e.kind)
		count, value := uint32(1), e.value
		switch e.kind {
		case tiffRational:
			value = uint32(at + len(extra))
			extra = binary.LittleEndian.AppendUint32(extra, e.ratio[0])
			extra = binary.LittleEndian.AppendUint32(extra, e.ratio[1])
		case tiffASCII:
			count, value = uint32(len(e.text)+1), uint32(at+len(extra))
			extra = append(extra, e.text...)
			extra = append(extra, make([]byte, 2-len(e.text)%2)...) // a zero, and one more to an even place
		}
		dir = binary.LittleEndian.AppendUint32(dir, count)
		if e.tag == tagStripOffsets {
			stripOffset = len(dir)
		}
		dir = binary.LittleEndian.AppendUint32(dir, value)
	}
	dir = binary.LittleEndian.AppendUint32(dir, 0)
	binary.LittleEndian.PutUint32(dir[stripOffset:], uint32(at+len(extra)))
	head := []byte{'I', 'I', 42, 0, 8, 0, 0, 0}
	return append(append(head, dir...), extra...)
}

const (
	tagStripOffsets    = 273
	tagStripByteCounts = 279
)

// entries is the directory, tags rising. Source: TIFF 6.0, section 3 (bilevel), 11 (Group 4), 12 (page name).
func (t *tiff) entries(stripBytes uint32) []entry {
	d := t.l.Spec.Device
	long := func(tag uint16, v int) entry { return entry{tag: tag, kind: tiffLong, value: uint32(v)} }
	short := func(tag, v uint16) entry { return entry{tag: tag, kind: tiffShort, value: uint32(v)} }
	return []entry{
		long(256, t.l.WidthPX), long(257, t.l.HeightPX),
		short(258, 1), // one bit
		short(259, 4), // Group 4
		short(262, 0), // white is zero
		short(266, 1), // first pixel in the top bit
		long(tagStripOffsets, 0),
		short(274, 1), short(277, 1), // first row on top; one sample
		long(278, t.l.HeightPX), {tag: tagStripByteCounts, kind: tiffLong, value: stripBytes},
		{tag: 282, kind: tiffRational, ratio: ratio(d.XDPI)}, {tag: 283, kind: tiffRational, ratio: ratio(d.YDPI)},
		{tag: 285, kind: tiffASCII, text: t.name},
		long(293, 0),  // no uncompressed mode
		short(296, 2), // inch
	}
}

// ratio is a resolution to a thousandth of a dot per inch.
func ratio(dpi float64) [2]uint32 {
	if dpi == math.Trunc(dpi) {
		return [2]uint32{uint32(dpi), 1}
	}
	return [2]uint32{uint32(math.Round(dpi * 1000)), 1000}
}
