package produce

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"slices"

	"tamis/pkg/film"
	"tamis/pkg/nest"
	"tamis/pkg/order"
	"tamis/pkg/plan"
)

// nesting is a nest under way.
type nesting struct {
	*run
	in    NestInput
	plan  *NestPlan
	doc   *Nest
	films []*os.File // the members, fetched
}

// RunNest makes the sheets of a nest and puts the manifest last. Members are fetched through the sink. The same films
// give the same bytes; memory does not grow with the nest's length.
func RunNest(ctx context.Context, in NestInput, sink Sink) (Result, error) {
	p, err := PlanNest(in)
	if err != nil {
		return Result{}, err
	}
	spool, err := newSpool(in.SpoolDir)
	if err != nil {
		return Result{}, err
	}
	defer spool.close()
	n := &nesting{run: &run{Input: Input{Report: in.Report}, ctx: ctx, sink: sink, spool: spool}, in: in, plan: p,
		doc: p.Doc(in.Members)}
	n.total = len(in.Members) + filmWeight*len(p.plan.Lengths) + 1
	n.result = Result{Films: []Film{}, Files: []File{}, Nest: n.doc}
	for _, step := range []func() error{n.fetchFilms, n.sheets, n.manifest} {
		if err := step(); err != nil {
			return Result{}, err
		}
	}
	n.tell(0, "done")
	return n.result, nil
}

// fetchFilms brings the members to the spool.
func (n *nesting) fetchFilms() error {
	for _, m := range n.in.Members {
		spooled, err := n.spool.create()
		if err != nil {
			return err
		}
		f := File{Name: m.Film.File, MediaType: tiffType, Bytes: m.Film.Bytes, SHA256: m.Film.SHA256}
		if err := n.fetch(f, spooled); err != nil {
			return fmt.Errorf("%s of %s: %w", m.Film.File, m.Job, err)
		}
		n.films = append(n.films, spooled)
		n.finished(1, "fetch")
	}
	return nil
}

// finished counts a step.
func (n *nesting) finished(weight int, stage string) {
	n.tell(weight, stage)
	n.mu.Lock()
	n.done += weight
	n.mu.Unlock()
}

// sheets makes every sheet and binds them where a PDF is wanted.
func (n *nesting) sheets() error {
	var pages []film.Sheet
	var tiffs []io.ReaderAt
	for i, length := range n.plan.plan.Lengths {
		page := film.Sheet{WidthPX: n.plan.roll.Width, HeightPX: length, Device: n.in.Device.Film(),
			Name: fmt.Sprintf("nest, sheet %d of %d", i+1, len(n.plan.plan.Lengths))}
		spooled, err := n.sheet(i, page)
		if err != nil {
			return fmt.Errorf("sheet %d: %w", i+1, err)
		}
		pages, tiffs = append(pages, page), append(tiffs, spooled)
		n.finished(filmWeight, "nest")
	}
	if !slices.Contains(n.in.Nest.Formats, "pdf") {
		return nil
	}
	kept, err := n.putMade("nest.pdf", func(w io.Writer) error { return film.WriteSheetsPDF(w, pages, tiffs) })
	if err != nil {
		return fmt.Errorf("nest PDF: %w", err)
	}
	for i, page := range pages {
		n.listSheet(i, "pdf", page, kept)
	}
	return nil
}

// sheet joins one sheet in the spool, and keeps it when TIFFs are asked for.
func (n *nesting) sheet(i int, page film.Sheet) (*os.File, error) {
	spooled, err := n.spool.create()
	if err != nil {
		return nil, err
	}
	mark := 0
	if *n.in.Nest.CutMarks {
		mark = max(1, int(math.Round(cutLineMM*max(n.plan.perMM[0], n.plan.perMM[1]))))
	}
	open := func(m int) (nest.Film, error) {
		size := n.plan.films[m]
		return film.OpenPage(n.films[m], size.Width, size.Height)
	}
	joined := n.plan.plan.NewSheet(i, n.plan.roll, n.plan.films, open, mark)
	if _, err = page.Write(n.ctx, spooled, joined.Next, func(rowsDone, rows int) {
		n.tell(filmWeight*rowsDone/rows, "nest")
	}); err != nil || !slices.Contains(n.in.Nest.Formats, "tiff") {
		return spooled, err
	}
	kept, err := n.put(fmt.Sprintf("nest-%02d.tif", i+1), tiffType, 0, spooled)
	if err != nil {
		return nil, err
	}
	n.listSheet(i, "tiff", page, kept)
	return spooled, nil
}

func (n *nesting) listSheet(i int, format string, page film.Sheet, f File) {
	milli := func(px, axis int) float64 { return math.Round(float64(px)/n.plan.perMM[axis]*1000) / 1000 }
	n.doc.Sheets = append(n.doc.Sheets, NestSheet{Sheet: i + 1, Format: format, File: f.Name, Bytes: f.Bytes,
		SHA256: f.SHA256, WidthPX: page.WidthPX, LengthPX: page.HeightPX, XDPI: page.Device.XDPI, YDPI: page.Device.YDPI,
		WidthMM: milli(page.WidthPX, 0), LengthMM: milli(page.HeightPX, 1)})
}

// nestManifest lists what a nest is made of.
type nestManifest struct {
	Engine int        `json:"engine"`
	Order  order.Nest `json:"nest_order"`
	Nest   *Nest      `json:"nest"`
	Files  []File     `json:"files"`
}

func (n *nesting) manifest() error {
	data, err := json.MarshalIndent(nestManifest{plan.Engine, n.in.Nest, n.doc, n.result.Files}, "", "  ")
	if err != nil {
		return err
	}
	n.result.Manifest = "manifest.json"
	_, err = n.putBytes(n.result.Manifest, jsonType, append(data, '\n'))
	return err
}
