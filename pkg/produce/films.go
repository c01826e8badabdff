package produce

import (
	"fmt"
	"io"
	"os"

	"tamis/pkg/film"
	"tamis/pkg/plan"
)

const (
	tiffType = "image/tiff"
	pdfType  = "application/pdf"
	pngType  = "image/png"
	jsonType = "application/json"
)

// filmName is a film's file name: press position, ink and role.
func filmName(p plan.Plate, format string) string {
	return fmt.Sprintf("%02d-%s-%s.%s", p.N, p.Ink.ID, p.Role, format)
}

func (r *run) wants(format string) bool {
	for _, f := range r.Plan.Input.Order.Film.Formats {
		if f == format {
			return true
		}
	}
	return false
}

// film makes the i-th plate's film in the spool, and keeps it when TIFFs are asked for. A film that an earlier attempt
// put is fetched instead of made.
func (r *run) film(i int) error {
	p := r.Plan.Doc.Plates[i]
	name := filmName(p, "tif")
	spooled, err := r.spool.create()
	if err != nil {
		return err
	}
	r.art.films = append(r.art.films, spooled)
	if !r.wants("tiff") {
		_, err := r.write(i, spooled)
		return err
	}
	kept, ok, err := r.sink.Finished(r.ctx, name)
	if err != nil {
		return err
	}
	if ok {
		r.listFile(kept)
		err = r.fetch(kept, spooled)
	} else {
		kept, err = r.makeFilm(i, name, spooled)
	}
	if err != nil {
		return fmt.Errorf("plate %d: %w", p.N, err)
	}
	r.list(p.N, "tiff", kept)
	return nil
}

func (r *run) makeFilm(i int, name string, spooled *os.File) (File, error) {
	made, err := r.write(i, spooled)
	if err != nil {
		return File{}, err
	}
	return r.put(name, tiffType, made.InkArea, spooled)
}

// write screens and encodes the i-th plate into the spool.
func (r *run) write(i int, w io.WriteSeeker) (film.Film, error) {
	doc := r.Plan.Doc.Plates[i]
	plate := film.Plate{N: doc.N, Of: len(r.Plan.Doc.Plates), InkName: doc.Ink.Name, Role: doc.Role,
		Order: r.orderName(), Mesh: fmt.Sprintf("%g/cm (%.0f tpi)", doc.Mesh.ThreadsPerCM, doc.Mesh.TPI),
		Plane: r.art.planes[i], Shape: r.art.shapes[i], Screen: r.art.screens[i],
		Nearest: r.Plan.Recipe.Plates[i].Nearest}
	if h := doc.Halftone; h != nil {
		plate.LPI, plate.AngleDeg = h.ActualLPI, h.ActualAngleDeg
	}
	return r.Plan.Layout.Write(r.ctx, plate, w, func(rowsDone, rows int) {
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
func (r *run) list(plate int, format string, f File) {
	page := r.Plan.Doc.Film
	r.result.Films = append(r.result.Films, Film{Plate: plate, Format: format, File: f.Name, Bytes: f.Bytes, SHA256: f.SHA256,
		WidthPX: page.WidthPX, HeightPX: page.HeightPX, XDPI: page.XDPI, YDPI: page.YDPI, WidthMM: page.WidthMM,
		HeightMM: page.HeightMM, PrintBox: page.PrintBox, InkArea: f.InkArea})
}

// filmPDF binds the films into one PDF, a page a plate in press order, and lists it once a plate.
func (r *run) filmPDF() error {
	if !r.wants("pdf") {
		return nil
	}
	pages := make([]film.PDFPage, len(r.art.films))
	for i, f := range r.art.films {
		pages[i] = film.PDFPage{TIFF: f, InkName: r.Plan.Doc.Plates[i].Ink.Name} // black: it goes to a film printer
	}
	out, err := r.spool.create()
	if err != nil {
		return err
	}
	defer out.Close()
	if err := film.WritePDF(out, r.Plan.Layout, pages); err != nil {
		return fmt.Errorf("film PDF: %w", err)
	}
	kept, err := r.put(pdfFile, pdfType, 0, out)
	if err != nil {
		return err
	}
	for _, p := range r.Plan.Doc.Plates {
		r.list(p.N, "pdf", kept)
	}
	return nil
}

// orderName is what the films call the order: the caller's reference, or the work's label.
func (r *run) orderName() string {
	if ref := r.Plan.Input.Order.OrderRef; ref != "" {
		return ref
	}
	return r.Label
}
