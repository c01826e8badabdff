package film

import (
	"context"
	"errors"
	"io"

	"golang.org/x/image/ccitt"

	"tamis/pkg/fault"
)

// Sheet is a film whose rows come from elsewhere, ready as they lie: a nest of films.
type Sheet struct {
	WidthPX, HeightPX int
	Device            Device
	Name              string // the TIFF's PageName, ASCII
}

// layout is the page that TIFF and PDF are written for. It has no print box but itself.
func (s Sheet) layout() *Layout {
	return &Layout{Spec: Spec{Device: s.Device}, WidthPX: s.WidthPX, HeightPX: s.HeightPX,
		PrintBoxPX: [4]int{0, 0, s.WidthPX, s.HeightPX}}
}

// Write writes the sheet as a TIFF like a film's. next fills a row of (WidthPX+63)/64 words, handed to it cleared, 1 is
// black; bits past WidthPX stay 0. ctx is asked, and progress, which may be nil, told, every 256 rows; memory is that
// of the rows of one band.
func (s Sheet) Write(ctx context.Context, w io.WriteSeeker, next func(row []uint64) error,
	progress func(rowsDone, rows int)) (bytes int64, err error) {
	if s.WidthPX < 1 || s.HeightPX < 1 || s.WidthPX > maxPagePX || s.HeightPX > maxSheetPX {
		return 0, fault.Invalidf("/jobs", "nest_too_large", "a sheet of %d x %d device pixels; %d x %d is the most",
			s.WidthPX, s.HeightPX, maxPagePX, maxSheetPX)
	}
	out := newTIFF(w, s.layout(), s.Name)
	if err := out.begin(); err != nil {
		return 0, err
	}
	coder := newEncoder(s.WidthPX, newCodes())
	code := new(bitBuffer)
	coder.start(nil, code)
	row := make([]uint64, (s.WidthPX+63)/64)
	for y := range s.HeightPX {
		clear(row)
		if err := next(row); err != nil {
			return 0, err
		}
		coder.row(row)
		if y%bandRows != bandRows-1 && y != s.HeightPX-1 {
			continue
		}
		if ctx.Err() != nil {
			return 0, canceled(ctx)
		}
		if y == s.HeightPX-1 {
			code.endOfBlock()
		}
		if err := out.code(code.bytes[:code.n]); err != nil {
			return 0, err
		}
		code.n = 0
		if progress != nil {
			progress(y+1, s.HeightPX)
		}
	}
	return out.size(), out.end()
}

// maxSheetPX bounds a sheet's length: 400 m at 2540 dpi.
const maxSheetPX = 40_000_000

// WriteSheetsPDF binds sheets into a PDF as WritePDF does films: a page each, as large as on the device.
func WriteSheetsPDF(w io.Writer, sheets []Sheet, tiffs []io.ReaderAt) error {
	pages := make([]PDFPage, len(sheets))
	for i, s := range sheets {
		pages[i] = PDFPage{TIFF: tiffs[i], InkName: s.Name, Page: s.layout()}
	}
	return WritePDF(w, nil, pages)
}

// Page reads the rows of a film's whole page, marks and all, as they lie in its TIFF: 1 is black. One belongs to one
// goroutine.
type Page struct {
	Width, Height int

	code   io.Reader
	packed []byte
	left   int
}

// OpenPage opens a TIFF that this package wrote, of a size that its job's result states; what is none of ours is
// fault.Internal.
func OpenPage(tiff io.ReaderAt, width, height int) (*Page, error) {
	strip, err := readStrip(tiff)
	if err != nil {
		return nil, err
	}
	return &Page{Width: width, Height: height, left: height, packed: make([]byte, 8*((width+63)/64)),
		code: ccitt.NewReader(strip, ccitt.MSB, ccitt.Group4, width, height, &ccitt.Options{Invert: true})}, nil
}

// Next writes the next row to dst, (Width+63)/64 words; after the last it is io.EOF.
func (p *Page) Next(dst []uint64) error {
	if p.left == 0 {
		return io.EOF
	}
	p.left--
	_, err := io.ReadFull(p.code, p.packed[:(p.Width+7)/8])
	if errors.Is(err, io.EOF) {
		err = io.ErrUnexpectedEOF
	}
	if err != nil {
		return fault.Wrap(err, fault.Internal, "film_unreadable", "a film's code cannot be read")
	}
	unpack(dst, p.packed)
	trim(dst, p.Width)
	return nil
}
