package film

import (
	"crypto/sha256"
	"fmt"
	"io"
	"strings"
)

// WriteOverlay writes one page for looking at: the films of a job over one another in the order given, each in its ink,
// upright and right-reading whatever the films are, true size. The inks overprint: a viewer that simulates overprint
// shows the mixed colours and lists the separations; one that does not shows the last ink on top.
//
// The Group 4 streams of the TIFFs go over unchanged, as image masks; a negative's is read the other way round. A film
// without Hex is black. The same films give the same bytes. A TIFF that Write did not make is an Internal fault.
//
// Source: ISO 32000-1:2008, 8.6.6.4 (Separation), 8.6.7 (overprint), 8.9.6.2 (masks).
func WriteOverlay(w io.Writer, l *Layout, films []PDFPage) error {
	p := &pdf{w: w, hash: sha256.New()}
	p.print("%%PDF-1.6\n%%\xe2\xe3\xcf\xd3\n")
	p.object(1, "<< /Type /Catalog /Pages 2 0 R >>")
	p.object(2, "<< /Type /Pages /Count 1 /Kids [3 0 R] >>")
	var inks, masks, content strings.Builder
	wide, high := l.WidthMM*72/25.4, l.HeightMM*72/25.4
	content.WriteString("/Over gs\n")
	for i, f := range films {
		ink, err := inkSpace(f)
		if err != nil {
			return fmt.Errorf("ink %d: %w", i+1, err)
		}
		fmt.Fprintf(&inks, " /Ink%d %s", i+1, ink)
		fmt.Fprintf(&masks, " /Film%d %d 0 R", i+1, firstMask+i)
		fmt.Fprintf(&content, "/Ink%d cs 1 scn q %s cm /Film%d Do Q\n", i+1, l.upright(wide, high), i+1)
	}
	turn := ""
	if l.Rotated { // the print's top lies at the film's left
		turn = " /Rotate 90"
	}
	p.object(3, fmt.Sprintf("<< /Type /Page /Parent 2 0 R /MediaBox [0 0 %.4f %.4f]%s /Contents 4 0 R\n"+
		"/Resources << /ExtGState << /Over << /OP true /op true /OPM 1 >> >>\n/ColorSpace <<%s >> /XObject <<%s >> >> >>",
		wide, high, turn, inks.String(), masks.String()))
	p.object(4, fmt.Sprintf("<< /Length %d >>\nstream\n%s\nendstream", content.Len(), content.String()))
	for i, f := range films {
		if err := p.mask(l, f.TIFF, firstMask+i, l.Spec.Negative); err != nil {
			return fmt.Errorf("film %d: %w", i+1, err)
		}
	}
	p.trailer()
	return p.err
}

// firstMask is the first film's object in an overlay: catalog, pages, page and content stand before.
const firstMask = 5

// upright maps a film on the page; a mirrored one is mirrored back.
func (l *Layout) upright(wide, high float64) string {
	if l.Mirrored() {
		return fmt.Sprintf("%.4f 0 0 %.4f %.4f 0", -wide, high, wide)
	}
	return fmt.Sprintf("%.4f 0 0 %.4f 0 0", wide, high)
}
