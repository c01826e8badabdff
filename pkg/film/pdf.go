package film

import (
	"crypto/sha256"
	"fmt"
	"hash"
	"io"
	"strconv"
	"strings"

	"tamis/pkg/fault"
)

// PDFPage is one film of a PDF: a TIFF that Write made, and the ink it stands for.
type PDFPage struct {
	TIFF    io.ReaderAt
	InkName string  // names the page's Separation colour space
	Hex     string  // "#rrggbb", how a viewer shows the ink; empty: black, as a film must come out of any printer
	Page    *Layout // what the TIFF was written on; nil: the layout given for all
}

// WritePDF writes the films as pages in the order given. Each page is as large as its film on the device: pixels
// divided by the device's resolution, scale correction included, so that the device's own stretch makes it true.
// The page's TrimBox is the print.
//
// The Group 4 stream of the TIFF goes over unchanged, as an image mask painted with the full tint of a Separation
// colour space that bears the ink's name. The same films give the same bytes: no dates, and the file's ID is the hash
// of what stands before it. A TIFF that Write did not make is an Internal fault.
//
// Source: ISO 32000-1:2008, 7.5 (file), 8.6.6.4 (Separation), 8.9.6.2 (masks), 7.4.6 (CCITTFaxDecode).
func WritePDF(w io.Writer, l *Layout, films []PDFPage) error {
	p := &pdf{w: w, hash: sha256.New()}
	p.print("%%PDF-1.6\n%%\xe2\xe3\xcf\xd3\n") // four bytes above 127: the file is binary
	p.object(1, "<< /Type /Catalog /Pages 2 0 R >>")
	kids := make([]string, len(films))
	for i := range films {
		kids[i] = strconv.Itoa(3+objectsPerPage*i) + " 0 R"
	}
	p.object(2, fmt.Sprintf("<< /Type /Pages /Count %d /Kids [%s] >>", len(films), strings.Join(kids, " ")))
	for i, f := range films {
		page := l
		if f.Page != nil {
			page = f.Page
		}
		if err := p.page(page, f, 3+objectsPerPage*i); err != nil {
			return fmt.Errorf("page %d: %w", i+1, err)
		}
	}
	p.trailer()
	return p.err
}

// objectsPerPage: the page, its content, its mask.
const objectsPerPage = 3

// page writes one film, its objects numbered from n.
func (p *pdf) page(l *Layout, f PDFPage, n int) error {
	ink, err := inkSpace(f)
	if err != nil {
		return err
	}
	wide, high := points(l.WidthPX, l.Spec.Device.XDPI), points(l.HeightPX, l.Spec.Device.YDPI)
	p.object(n, fmt.Sprintf("<< /Type /Page /Parent 2 0 R /MediaBox [0 0 %s %s] /TrimBox [%s] /Contents %d 0 R\n"+
		"/Resources << /ColorSpace << /Ink %s >> /XObject << /Film %d 0 R >> >> >>",
		wide, high, trimBox(l), n+1, ink, n+2))
	content := fmt.Sprintf("/Ink cs 1 scn %s 0 0 %s 0 0 cm /Film Do", wide, high)
	p.object(n+1, fmt.Sprintf("<< /Length %d >>\nstream\n%s\nendstream", len(content), content))
	return p.mask(l, f.TIFF, n+2, false)
}

// mask writes a film as object n, an image mask that paints its black; inverse: its bare film.
func (p *pdf) mask(l *Layout, tiff io.ReaderAt, n int, inverse bool) error {
	strip, err := readStrip(tiff)
	if err != nil {
		return err
	}
	decode := ""
	if inverse {
		decode = " /Decode [1 0]"
	}
	p.startObject(n)
	p.print("<< /Type /XObject /Subtype /Image /ImageMask true /BitsPerComponent 1 /Width %d /Height %d%s\n"+
		"/Filter /CCITTFaxDecode /DecodeParms << /K -1 /Columns %d /Rows %d >> /Length %d >>\nstream\n",
		l.WidthPX, l.HeightPX, decode, l.WidthPX, l.HeightPX, strip.Size())
	if _, err := io.Copy(p, strip); err != nil && p.err == nil {
		return fault.Wrap(err, fault.Internal, "film_unreadable", "a film's TIFF cannot be read")
	}
	p.print("\nendstream\nendobj\n")
	return p.err
}

// trimBox is the print as PDF has it: left, bottom, right, top.
func trimBox(l *Layout) string {
	d, b := l.Spec.Device, l.PrintBoxPX
	return strings.Join([]string{points(b[0], d.XDPI), points(l.HeightPX-b[3], d.YDPI), points(b[2], d.XDPI),
		points(l.HeightPX-b[1], d.YDPI)}, " ")
}

// points is a number of device pixels in 1/72 inch, to a ten-thousandth: far below a pixel over any film.
func points(px int, dpi float64) string {
	return strconv.FormatFloat(float64(px)*72/dpi, 'f', 4, 64)
}

// inkSpace is the Separation colour space of an ink: no tint is white, full tint its colour.
func inkSpace(f PDFPage) (string, error) {
	alternate := "/DeviceGray << /FunctionType 2 /Domain [0 1] /N 1 /C0 [1] /C1 [0] >>"
	if f.Hex != "" {
		v, err := strconv.ParseUint(strings.TrimPrefix(f.Hex, "#"), 16, 24)
		if err != nil || len(strings.TrimPrefix(f.Hex, "#")) != 6 {
			return "", fault.Invalidf("/ink/hex", "ink_hex", "%q is not a colour such as #d02030", f.Hex)
		}
		alternate = fmt.Sprintf("/DeviceRGB << /FunctionType 2 /Domain [0 1] /N 1 /C0 [1 1 1] /C1 [%.4f %.4f %.4f] >>",
			float64(v>>16)/255, float64(v>>8&255)/255, float64(v&255)/255)
	}
	return fmt.Sprintf("[/Separation %s %s]", pdfName(f.InkName), alternate), nil
}

// pdfName writes a name object. The names that mean every colorant and none, and the empty one, are kept from doing so.
func pdfName(s string) string {
	if s == "" || s == "All" || s == "None" {
		s = "Ink " + s
	}
	if len(s) > 100 { // a name holds 127 bytes at most
		s = strings.ToValidUTF8(s[:100], "")
	}
	name := []byte{'/'}
	for _, c := range []byte(s) {
		switch {
		case c >= '0' && c <= '9', c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c == '-', c == '_':
			name = append(name, c)
		case c != 0: // a name cannot hold it
			name = fmt.Appendf(name, "#%02x", c)
		}
	}
	return string(name)
}

// pdf writes objects and remembers where they start. The first error stays.
type pdf struct {
	w       io.Writer
	hash    hash.Hash
	at      int64
	offsets []int64
	err     error
}

// Write passes bytes on, counted and hashed.
func (p *pdf) Write(b []byte) (int, error) {
	if p.err != nil {
		return 0, p.err
	}
	p.hash.Write(b)
	n, err := p.w.Write(b)
	p.at += int64(n)
	p.err = err
	return n, err
}

func (p *pdf) print(format string, args ...any) { fmt.Fprintf(p, format, args...) }

// startObject begins object n; they come in order, from 1.
func (p *pdf) startObject(n int) {
	if n != len(p.offsets)+1 {
		panic("film: PDF objects out of order")
	}
	p.offsets = append(p.offsets, p.at)
	p.print("%d 0 obj\n", n)
}

func (p *pdf) object(n int, body string) {
	p.startObject(n)
	p.print("%s\nendobj\n", body)
}

// trailer writes the table of objects and what follows it.
func (p *pdf) trailer() {
	start := p.at
	id := p.hash.Sum(nil)[:16]
	p.print("xref\n0 %d\n0000000000 65535 f \n", len(p.offsets)+1)
	for _, at := range p.offsets {
		p.print("%010d 00000 n \n", at)
	}
	p.print("trailer\n<< /Size %d /Root 1 0 R /ID [<%x> <%x>] >>\nstartxref\n%d\n%%%%EOF\n",
		len(p.offsets)+1, id, id, start)
}
