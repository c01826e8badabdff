package produce

import (
	"fmt"
	"io"
	"os"

	"tamis/pkg/film"
	"tamis/pkg/order"
	"tamis/pkg/plan"
)

const (
	tiffType = "image/tiff"
	pdfType  = "application/pdf"
	pngType  = "image/png"
	jsonType = "application/json"
)

// overlayFile is one page with every film in its ink's colour.
const overlayFile = "overlay.pdf"

// filmName is a film's file name: press position, ink and role, and which part it is where the print is split.
func filmName(p plan.Plate, part int, format string) string {
	name := fmt.Sprintf("%02d-%s-%s", p.N, p.Ink.ID, p.Role)
	if part > 0 {
		name += fmt.Sprintf("-part%d", part)
	}
	return name + "." + format
}

func (r *run) wants(format string) bool {
	for _, f := range r.Plan.Input.Order.Film.Formats {
		if f == format {
			return true
		}
	}
	return false
}

// film makes the i-th plate's films in the spool: one, or the parts of a split print; of those the whole as well where
// proof or overlay is drawn from it.
func (r *run) film(i int) error {
	p, layout := r.Plan.Doc.Plates[i], r.Plan.Layout
	for _, page := range layout.Pages() {
		spooled, err := r.page(i, page)
		if err != nil {
			return fmt.Errorf("plate %d: %w", p.N, err)
		}
		r.art.pages = append(r.art.pages, spooled)
		if page == layout {
			r.art.films = append(r.art.films, spooled)
		}
	}
	whole := r.wants("overlay") || r.Plan.Input.Order.Proof.From == order.ProofFilms
	if layout.Parts == 0 || !whole {
		return nil
	}
	spooled, err := r.spool.create()
	if err != nil {
		return err
	}
	r.art.films = append(r.art.films, spooled)
	_, err = r.write(i, layout, spooled)
	return err
}

// page makes one film in the spool, and keeps it when TIFFs are asked for. A film that an earlier attempt put is
// fetched instead of made.
func (r *run) page(i int, page *film.Layout) (*os.File, error) {
	p := r.Plan.Doc.Plates[i]
	name := filmName(p, page.Part, "tif")
	spooled, err := r.spool.create()
	if err != nil {
		return nil, err
	}
	if !r.wants("tiff") {
		_, err := r.write(i, page, spooled)
		return spooled, err
	}
	kept, ok, err := r.sink.Finished(r.ctx, name)
	if err != nil {
		return nil, err
	}
	if ok {
		r.listFile(kept)
		err = r.fetch(kept, spooled)
	} else {
		kept, err = r.makeFilm(i, page, name, spooled)
	}
	if err != nil {
		return nil, err
	}
	r.list(p.N, page, "tiff", kept)
	return spooled, nil
}

func (r *run) makeFilm(i int, page *film.Layout, name string, spooled *os.File) (File, error) {
	made, err := r.write(i, page, spooled)
	if err != nil {
		return File{}, err
	}
	return r.put(name, tiffType, made.InkArea, spooled)
}

// write screens and encodes the i-th plate's film on a page into the spool.
func (r *run) write(i int, page *film.Layout, w io.WriteSeeker) (film.Film, error) {
	doc := r.Plan.Doc.Plates[i]
	plate := film.Plate{N: doc.N, Of: len(r.Plan.Doc.Plates), InkName: doc.Ink.Name, Role: doc.Role,
		Order: r.orderName(), Mesh: fmt.Sprintf("%g/cm (%.0f tpi)", doc.Mesh.ThreadsPerCM, doc.Mesh.TPI),
		Plane: r.art.planes[i], Shape: r.art.shapes[i], Screen: r.art.screens[i],
		Nearest: r.Plan.Recipe.Plates[i].Nearest}
	if h := doc.Halftone; h != nil {
		plate.LPI, plate.AngleDeg = h.ActualLPI, h.ActualAngleDeg
	}
	return page.Write(r.ctx, plate, w, func(rowsDone, rows int) {
		r.tell(filmWeight*rowsDone/rows, "films")
	})
}

// fetch copies a kept file into the spool, for the PDF.
func (r *run) fetch(kept File, spooled io.Writer) error {
	body, err := r.sink.Open(r.ctx, kept)
	if err != nil {
		return err
	}
	defer body.Close()
	if n, err := io.Copy(spooled, body); err != nil || n != kept.Bytes {
		return fmt.Errorf("read back %d of %d bytes: %w", n, kept.Bytes, err)
	}
	return nil
}

// list adds a film to the result.
func (r *run) list(plate int, page *film.Layout, format string, f File) {
	made := r.Plan.Doc.Film
	one := Film{Plate: plate, Format: format, File: f.Name, Bytes: f.Bytes, SHA256: f.SHA256,
		WidthPX: made.WidthPX, HeightPX: made.HeightPX, XDPI: made.XDPI, YDPI: made.YDPI, WidthMM: made.WidthMM,
		HeightMM: made.HeightMM, PrintBox: made.PrintBox, InkArea: f.InkArea}
	if page.Part > 0 {
		part := made.Parts[page.Part-1]
		one.WidthPX, one.HeightPX, one.WidthMM, one.HeightMM = part.WidthPX, part.HeightPX, part.WidthMM, part.HeightMM
		one.PrintBox, one.Part, one.Parts, one.Shows = part.PrintBox, part.Part, len(made.Parts), part.Shows
	}
	r.result.Films = append(r.result.Films, one)
}

// filmPDF binds the films into one PDF, a page a film in press order, and lists it once a film; then the overlay.
func (r *run) filmPDF() error {
	if r.wants("pdf") {
		if err := r.bound(); err != nil {
			return fmt.Errorf("film PDF: %w", err)
		}
	}
	if r.wants("overlay") {
		if err := r.overlay(); err != nil {
			return fmt.Errorf("overlay: %w", err)
		}
	}
	return nil
}

func (r *run) bound() error {
	layout := r.Plan.Layout.Pages()
	pages := make([]film.PDFPage, len(r.art.pages))
	for i, f := range r.art.pages { // black: it goes to a film printer
		pages[i] = film.PDFPage{TIFF: f, InkName: r.Plan.Doc.Plates[i/len(layout)].Ink.Name, Page: layout[i%len(layout)]}
	}
	kept, err := r.putMade(pdfFile, func(w io.Writer) error { return film.WritePDF(w, r.Plan.Layout, pages) })
	if err != nil {
		return err
	}
	for _, p := range r.Plan.Doc.Plates {
		for _, page := range layout {
			r.list(p.N, page, "pdf", kept)
		}
	}
	return nil
}

// overlay keeps one page with all films over one another in the colours of their inks.
func (r *run) overlay() error {
	inks := make([]film.PDFPage, len(r.art.films))
	for i, f := range r.art.films {
		ink := r.Plan.Doc.Plates[i].Ink
		inks[i] = film.PDFPage{TIFF: f, InkName: ink.Name, Hex: ink.Hex}
	}
	_, err := r.putMade(overlayFile, func(w io.Writer) error { return film.WriteOverlay(w, r.Plan.Layout, inks) })
	return err
}

// putMade writes a PDF into the spool and keeps it.
func (r *run) putMade(name string, write func(w io.Writer) error) (File, error) {
	out, err := r.spool.create()
	if err != nil {
		return File{}, err
	}
	defer out.Close()
	if err := write(out); err != nil {
		return File{}, err
	}
	return r.put(name, pdfType, 0, out)
}

// orderName is what the films call the order: the caller's reference, or the work's label; which of its prints they are
// of, so that films of two are told apart in the hand; and the day the caller gave it. No other date stands on a film:
// the same order gives the same bytes whenever it is made.
func (r *run) orderName() string {
	name := r.Label
	if ref := r.Plan.Input.Order.OrderRef; ref != "" {
		name = ref
	}
	if which := r.Plan.Part.Name(); which != "" {
		name += ", " + which
	}
	if day := r.Plan.Input.Order.OrderDate; day != "" {
		name += ", " + day
	}
	return name
}
