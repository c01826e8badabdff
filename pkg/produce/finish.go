package produce

import (
	"bytes"
	"encoding/json"
	"fmt"

	"tamis/pkg/plan"
	"tamis/pkg/proof"
	"tamis/pkg/sheet"
)

// proofPX is the long side of the proof. Ours: a shop's screen shows it whole, lettering of 3 mm still reads.
const proofPX = 1600

// proof renders what the print will look like, from the planes through the print model.
func (r *run) proof() error {
	picture, err := proof.Render(r.ctx, r.Plan.Recipe, r.art.planes, proof.Options{MaxPX: proofPX})
	if err != nil {
		return fmt.Errorf("proof: %w", err)
	}
	var png bytes.Buffer
	if err := proof.WritePNG(&png, picture); err != nil {
		return err
	}
	r.result.Proof = "proof.png"
	r.art.proof = png.Bytes()
	_, err = r.putBytes(r.result.Proof, pngType, png.Bytes())
	return err
}

// sheet sets the setup sheet.
func (r *run) sheet() error {
	var pdf bytes.Buffer
	if err := sheet.Write(&pdf, r.sheetData()); err != nil {
		return fmt.Errorf("setup sheet: %w", err)
	}
	r.result.SetupSheet = "setup.pdf"
	_, err := r.putBytes(r.result.SetupSheet, pdfType, pdf.Bytes())
	return err
}

// Manifest lists every file of a job with its hash, and what they were made from.
type Manifest struct {
	Engine  int        `json:"engine"`
	Artwork string     `json:"artwork_id"`
	Order   any        `json:"order"`
	Films   []Film     `json:"films"`
	Files   []File     `json:"files"`
	Plan    plan.Doc   `json:"plan"`
	Quote   plan.Quote `json:"quote"`
}

// manifest is put last: where it stands, everything it names stands.
func (r *run) manifest() error {
	m := Manifest{Engine: plan.Engine, Artwork: r.Plan.Input.Order.ArtworkID, Order: r.Plan.Input.Order,
		Films: r.result.Films, Files: r.result.Files, Plan: r.result.Plan, Quote: r.result.Quote}
	data, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	r.result.Manifest = "manifest.json"
	_, err = r.putBytes(r.result.Manifest, jsonType, append(data, '\n'))
	return err
}
