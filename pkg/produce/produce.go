// Package produce makes what a plan promises: films, proof, setup sheet and manifest.
//
// In go a plan, the artwork decoded and a sink; out come files put into the sink and the Result that names them. The
// chain is the list in Run: the picture at the size of the print, maps of findings, separate, films, film PDF, proof, sheet, manifest. Films stream to a spool file in
// bands, so memory does not grow with their length. The same input gives the same bytes on any machine. It knows no
// queue and no bucket: a Sink stands for whatever keeps the files.
package produce

import (
	"context"
	"io"
	"slices"
	"sync"

	"tamis/pkg/artwork"
	"tamis/pkg/cores"
	"tamis/pkg/order"
	"tamis/pkg/plan"
)

// File is one file of a result, known by the hash of its bytes.
type File struct {
	Name      string `json:"name"`
	MediaType string `json:"media_type"`
	Bytes     int64  `json:"bytes"`
	SHA256    string `json:"sha256"`
	// InkArea is the share of the print box that a film's bits cover, 0..1; 0 for other files.
	InkArea float64 `json:"ink_area,omitempty"`
}

// Sink keeps files, for several goroutines at once. Finished finds one that an earlier attempt at the same work put under this name, so that a finished
// plate is not made again; Open reads it back; Put keeps bytes whose hash f carries.
type Sink interface {
	Finished(ctx context.Context, name string) (f File, ok bool, err error)
	Open(ctx context.Context, f File) (io.ReadCloser, error)
	Put(ctx context.Context, f File, body io.ReadSeeker) error
}

// Input is one job's work. Label is the short name of the work, for films and sheet;
// Image the artwork, which is left as it is and may still be arriving; SpoolDir a folder for temporary files, "" for the system's;
// Report is told of progress in whole steps and may be nil.
type Input struct {
	Plan     *plan.Plan
	Label    string
	Image    *artwork.Image
	SpoolDir string
	Report   func(done, total int, stage string)
}

// Film is one film of a result, as the HTTP contract shapes it.
type Film struct {
	Plate    int     `json:"plate"`
	Format   string  `json:"format"`
	File     string  `json:"file"`
	Bytes    int64   `json:"bytes"`
	SHA256   string  `json:"sha256"`
	WidthPX  int     `json:"width_px"`
	HeightPX int     `json:"height_px"`
	XDPI     float64 `json:"x_dpi"`
	YDPI     float64 `json:"y_dpi"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
	PrintBox [4]int  `json:"print_box_px"`
	// InkArea is the share of the print box that the film's bits cover, 0..1; of a PDF, which holds all films, 0.
	InkArea float64 `json:"ink_area"`
	// Of a split print: which part this is, of how many, and what of the print it shows, x0, y0, x1, y1 in device pixels.
	Part  int    `json:"part,omitempty"`
	Parts int    `json:"parts,omitempty"`
	Shows [4]int `json:"shows_px,omitzero"`
}

// Result is what a finished job answers with. A nest has neither plan nor quote, films, proof or sheet of its own.
type Result struct {
	Plan       plan.Doc   `json:"plan,omitzero"`
	Quote      plan.Quote `json:"quote,omitzero"`
	Films      []Film     `json:"films"`
	Proof      string     `json:"proof,omitempty"`
	SetupSheet string     `json:"setup_sheet,omitempty"`
	SetupFacts string     `json:"setup_facts,omitempty"`
	Nest       *Nest      `json:"nest,omitempty"`
	Manifest   string     `json:"manifest"`
	Files      []File     `json:"files"`
}

// run is one job under way, with what the steps hand to one another.
type run struct {
	Input
	ctx    context.Context
	sink   Sink
	spool  *spool
	result Result
	art    art
	total  int

	mu   sync.Mutex // guards result.Files, done and told: steps run side by side
	done int
	told int
}

// step is one link of the chain: its name, shown as the job's stage, its weight in the progress, and what it does.
type step struct {
	stage  string
	weight int
	do     func(*run) error
}

// Run makes everything and puts the manifest last; ctx ends it within a band.
func Run(ctx context.Context, in Input, sink Sink) (Result, error) {
	r := &run{Input: in, ctx: ctx, sink: sink}
	spool, err := newSpool(in.SpoolDir)
	if err != nil {
		return Result{}, err
	}
	defer spool.close()
	r.spool = spool
	r.result = Result{Plan: in.Plan.Doc, Quote: in.Plan.Quote, Films: []Film{}, Files: []File{}}
	chain := r.chain()
	for _, lines := range chain {
		for _, s := range slices.Concat(lines...) {
			r.total += s.weight
		}
	}
	for _, lines := range chain {
		if err := r.sideBySide(lines); err != nil {
			return Result{}, err
		}
	}
	r.tell(0, "done")
	return r.result, nil
}

// filmWeight is a film's share of the progress: it takes some four times as long as the sheet.
const filmWeight = 4

// chain lists the links of the chain: each has lines of steps that run side by side; a plate is a step.
func (r *run) chain() [][][]step {
	var films []step
	for i := range r.Plan.Doc.Plates {
		films = append(films, step{"films", filmWeight, func(r *run) error { return r.film(i) }})
	}
	films = append(films, step{"films", 1, (*run).filmPDF})
	proof := []step{{"proof", 2, (*run).proof}, {"sheet", 1, (*run).sheet}}
	made := [][][]step{{films, proof}}
	if r.Plan.Input.Order.Proof.From == order.ProofFilms {
		made = [][][]step{{films}, {proof}}
	}
	return slices.Concat([][][]step{
		{{{"picture", 1, (*run).fit}}},
		{{{"separate", 3, (*run).separate}}, {{"findings", 1, (*run).maps}},
			{{"screens", 1, (*run).screens}}},
		{{{"separate", 0, (*run).letArtGo}}},
	}, made, [][][]step{
		{{{"manifest", 1, (*run).manifest}}},
	})
}

// sideBySide runs lines of steps at once. The first that fails stops the others.
func (r *run) sideBySide(lines [][]step) error {
	outer := r.ctx
	group, ctx := cores.NewGroup(outer)
	r.ctx = ctx
	for _, line := range lines {
		group.Go(func() error {
			for _, s := range line {
				if err := r.step(s); err != nil {
					return err
				}
			}
			return nil
		})
	}
	err := group.Wait()
	r.ctx = outer
	return err
}

func (r *run) step(s step) error {
	r.tell(0, s.stage)
	if r.ctx.Err() != nil {
		return context.Cause(r.ctx)
	}
	if err := s.do(r); err != nil {
		return err
	}
	r.mu.Lock()
	r.done += s.weight
	r.mu.Unlock()
	return nil
}

// tell reports what is done, and part of a step under way. What is told never falls.
func (r *run) tell(part int, stage string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.told = max(r.told, r.done+part)
	if r.Report != nil {
		r.Report(r.told, r.total, stage)
	}
}
