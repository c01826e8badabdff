package produce

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"

	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/proof"
	"tamis/pkg/sheet"
)

// The names of the files that every job has one of.
const (
	pdfFile   = "films.pdf"
	proofFile = "proof.png"
	sheetFile = "setup.pdf"
	setupFile = "setup.json"
)

// proof renders what the print will look like, through the print model.
func (r *run) proof() error {
	picture, err := r.picture()
	if err != nil {
		return fmt.Errorf("proof: %w", err)
	}
	var png bytes.Buffer
	if err := proof.WritePNG(&png, picture); err != nil {
		return err
	}
	r.result.Proof = proofFile
	if r.art.proof, err = forSheet(picture, png.Bytes()); err != nil {
		return err
	}
	_, err = r.putBytes(r.result.Proof, pngType, png.Bytes())
	return err
}

// sheetProofBytes is what a proof may weigh on the setup sheet before it is packed with loss there. Ours: a sheet is
// mailed and printed; flat art stays far below, a photograph's proof is ten times that.
const sheetProofBytes = 400e3

// forSheet is the proof as the sheet shows it.
func forSheet(picture image.Image, whole []byte) ([]byte, error) {
	if len(whole) <= sheetProofBytes {
		return whole, nil
	}
	var b bytes.Buffer
	err := jpeg.Encode(&b, picture, &jpeg.Options{Quality: 90})
	return b.Bytes(), err
}

// picture draws the proof from what the order asks for: the planes, or the final bits.
func (r *run) picture() (*image.RGBA, error) {
	ask := r.Plan.Input.Order.Proof
	options := proof.Options{MaxPX: ask.MaxPX, RegisterErrorMM: ask.RegisterErrorMM,
		PrintWidthMM: r.Plan.Doc.Print.WidthMM}
	if ask.From != order.ProofFilms {
		return proof.Render(r.ctx, r.Plan.Recipe, r.art.planes, options)
	}
	films := make([]proof.Film, len(r.art.films))
	for i, f := range r.art.films {
		films[i] = proof.Film{TIFF: f, Curve: r.Plan.Gains[i], PitchMM: dotPitchMM(r.Plan.Doc.Plates[i].Halftone)}
	}
	return proof.RenderFilms(r.ctx, r.Plan.Recipe, r.Plan.Layout, films, options)
}

// dotsAcross is how many dots of an FM screen make a stretch that looks even. Ours.
const dotsAcross = 4

// dotPitchMM is the distance of a plate's dots, 0 for a line plate.
func dotPitchMM(h *plan.Halftone) float64 {
	switch {
	case h == nil:
		return 0
	case h.LPI > 0:
		return 25.4 / h.LPI
	}
	return dotsAcross * max(h.ActualDotUM, h.ClusterUM) / 1000
}

// sheet sets the setup sheet, and writes its facts beside it.
func (r *run) sheet() error {
	var pdf bytes.Buffer
	if err := sheet.Write(&pdf, r.sheetData()); err != nil {
		return fmt.Errorf("setup sheet: %w", err)
	}
	r.result.SetupSheet = sheetFile
	if _, err := r.putBytes(r.result.SetupSheet, pdfType, pdf.Bytes()); err != nil {
		return err
	}
	return r.setup()
}

// Manifest lists every file of a job with its hash, and what they were made from: PrintN is the print of the order, 0
// where it has no list of them.
type Manifest struct {
	Engine  int        `json:"engine"`
	Artwork string     `json:"artwork_id"`
	Order   any        `json:"order"`
	PrintN  int        `json:"print_n,omitempty"`
	Films   []Film     `json:"films"`
	Files   []File     `json:"files"`
	Plan    plan.Doc   `json:"plan"`
	Quote   plan.Quote `json:"quote"`
}

// manifest is put last: where it stands, everything it names stands.
func (r *run) manifest() error {
	r.sorted()
	m := Manifest{Engine: plan.Engine, Artwork: r.Plan.Input.Order.ArtworkID, Order: r.Plan.Part.Order,
		Films: r.result.Films, Files: r.result.Files, Plan: r.result.Plan, Quote: r.result.Quote}
	if r.Plan.Part.Order.Prints != nil {
		m.PrintN = r.Plan.Part.N
	}
	data, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	r.result.Manifest = "manifest.json"
	_, err = r.putBytes(r.result.Manifest, jsonType, append(data, '\n'))
	return err
}
