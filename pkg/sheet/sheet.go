// Package sheet sets the setup sheet: the page a printer works from at the press.
//
// In go a job's facts as plain text and figures, the proof and a thumbnail a film; out comes a PDF of one page, A4 or
// Letter, and a second for warnings the first has no room for; the same bytes for the same facts. A text too long for its box is set smaller, over more lines, or shortened
// with an ellipsis; nothing runs out of the page. The typeface has Latin, Greek and Cyrillic; another character prints
// as a box. It reckons nothing: every figure was reckoned by the plan.
package sheet

import (
	"fmt"
	"image"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
)

// Data is what stands on the sheet. Paper is "a4" or "letter". Address is what the QR code says, "" for none; Register,
// Stencil and Lamp are lines on the register to expect, the emulsion and what exposes it; SpoilagePercent and ScreenChargeG what the ink to mix allows for. Proof is a
// PNG or JPEG; Plates are in press order, 1..12. Part says which print of an order of several this is, "" for the only one;
// Quantity is what is printed from these screens, Garments what the order has where that is more, 0 where not; Runs are
// the prints that share the screens, none where there is but one.
type Data struct {
	Paper                     string
	Shop, Job, Order, Address string
	GarmentName, GarmentHex   string
	Placement, Method         string
	Part                      string
	Quantity, Garments        int
	Runs                      []string
	WidthMM, HeightMM         float64
	EffectivePPI              float64
	MatchMean, MatchP95       float64
	Device, Press             string
	FilmWidthMM, FilmHeightMM float64
	StationsNeeded, Stations  int
	Passes                    string // which screens each run over the press takes, "" for one run
	BlackSteps                float64
	Register, Stencil, Lamp   string
	Exposure                  string // what the exposures assume
	SpoilagePercent           float64
	ScreenChargeG             float64
	Proof                     []byte
	Plates                    []Plate
	Warnings                  []string
}

// Plate is one row of the plate table, with its film's thumbnail (black is ink).
type Plate struct {
	N                                            int
	Ink, Hex, Role, Mesh, Screen, Squeegee, File string
	Flash                                        bool
	GramsPrint, ExposureS                        float64
	MixGrams                                     int
	Thumb                                        *image.Gray
}

const (
	margin  = 11.0 // mm; most office printers reach this far
	regular = "regular"
	bold    = "bold"
)

// page is the sheet under way: the document, and y, the millimetre below which nothing stands yet.
type page struct {
	*fpdf.Fpdf
	d             Data
	width, height float64
	y             float64
	face          *sfnt.Font
	left          []string // warnings the first page has no room for
}

// Write sets the sheet into w.
func Write(w io.Writer, d Data) error {
	size := "A4"
	if d.Paper == "letter" {
		size = "Letter"
	}
	p := &page{Fpdf: fpdf.New("P", "mm", size, ""), d: d, y: margin, face: typeface()}
	p.SetCreationDate(epoch)
	p.SetModificationDate(epoch)
	p.SetCatalogSort(true)
	p.SetTitle("Setup sheet "+p.printable(d.Order), true)
	p.SetAutoPageBreak(false, 0)
	p.SetMargins(margin, margin, margin)
	p.AddUTF8FontFromBytes(regular, "", goregular.TTF)
	p.AddUTF8FontFromBytes(bold, "", gobold.TTF)
	p.AddPage()
	p.width, p.height = p.GetPageSize()
	p.head()
	p.facts()
	p.films()
	p.table()
	p.notes()
	p.overleaf()
	return p.Output(w)
}

// epoch stands for the dates a PDF must carry: the same job must give the same bytes.
var epoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// right is the x of the right margin.
func (p *page) right() float64 { return p.width - margin }

// text writes one line with its baseline box at y, shortened to width.
func (p *page) text(x, y, width, sizePT float64, font, s string) {
	p.SetFont(font, "", sizePT)
	p.SetXY(x, y)
	p.CellFormat(width, sizePT*0.42, p.fit(s, width), "", 0, "L", false, 0, "")
}

// fit shortens s with an ellipsis until it is no wider than width in the current font.
func (p *page) fit(s string, width float64) string {
	s = p.printable(s)
	const cellPadding = 2 // fpdf keeps 1 mm on either side of a cell's text
	if p.GetStringWidth(s) <= width-cellPadding {
		return s
	}
	runes := []rune(s)
	for len(runes) > 0 && p.GetStringWidth(string(runes)+"…") > width-cellPadding {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}

func (p *page) rule(y float64) {
	p.SetDrawColor(40, 40, 40)
	p.SetLineWidth(0.3)
	p.Line(margin, y, p.right(), y)
}

// swatch is a filled patch with a thin outline, so that white ink shows on white paper.
func (p *page) swatch(x, y, w, h float64, hex string) {
	r, g, b := rgb(hex)
	p.SetFillColor(r, g, b)
	p.SetDrawColor(90, 90, 90)
	p.SetLineWidth(0.15)
	p.Rect(x, y, w, h, "FD")
}

func rgb(hex string) (r, g, b int) {
	if _, err := fmt.Sscanf(hex, "#%02x%02x%02x", &r, &g, &b); err != nil {
		return 255, 255, 255
	}
	return r, g, b
}
