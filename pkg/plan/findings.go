package plan

import (
	"fmt"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
)

// findings passes on what the artwork or its separation showed and a person should act on.
func (d *draft) findings(findings []artwork.Finding) {
	for _, f := range findings {
		if f.Severity == artwork.Info || f.Code == outOfGamut || d.blackAsBlack(f) {
			continue // out of gamut is counted by colorFindings, which excuses blacks
		}
		w := d.WarningOf(f, d.Input.Inspection.Width, d.Input.Inspection.Height)
		if f.Hex != "" {
			w.BoxesMM = d.cells(d.ofColor(f.Hex))
		}
		d.Doc.Warnings = append(d.Doc.Warnings, w)
	}
}

// blackAsBlack tells the finding that a black prints as the shop's black.
func (d *draft) blackAsBlack(f artwork.Finding) bool {
	rgb, err := color.ParseHex(f.Hex)
	return err == nil && f.Code == "ink_far_off" && d.printsBlack(rgb)
}

// WarningOf is a finding on a picture of the artwork, of that size in pixels, as a warning on the print.
func (p *Plan) WarningOf(f artwork.Finding, widthPX, heightPX int) Warning {
	w := Warning{Code: f.Code, Severity: string(f.Severity), Message: f.Message, Remedy: f.Remedy}.completed()
	if f.Box != (artwork.Box{}) {
		w.BoxesMM = p.boxesMM([]artwork.Box{f.Box}, widthPX, heightPX)
		w.place()
	}
	return w
}

// pixelMM is a pixel of the artwork on the print.
func (d *draft) pixelMM() float64 { return d.Doc.Print.WidthMM / float64(d.Input.Inspection.Width) }

// boxesMM are boxes of a picture of the artwork on the print.
func (p *Plan) boxesMM(boxes []artwork.Box, widthPX, heightPX int) [][4]float64 {
	x, y := p.Doc.Print.WidthMM/float64(widthPX), p.Doc.Print.HeightMM/float64(heightPX)
	var out [][4]float64
	for _, b := range boxes {
		out = append(out, [4]float64{tenth(float64(b[0]) * x), tenth(float64(b[1]) * y), tenth(float64(b[2]) * x),
			tenth(float64(b[3]) * y)})
	}
	return out
}

// cells gathers the overview's cells that in tells into boxes on the print.
func (d *draft) cells(in func(cell int) bool) [][4]float64 {
	insp := d.Input.Inspection
	return d.boxesMM(insp.Overview.Boxes(insp.Width, insp.Height, mostBoxes, in), insp.Width, insp.Height)
}

// ofColor tells the cells that show a main colour: the one nearest to hex.
func (d *draft) ofColor(hex string) func(cell int) bool {
	insp := d.Input.Inspection
	near, best := -1, color.OKLab{}
	rgb, err := color.ParseHex(hex)
	if err == nil {
		best = rgb.OKLab()
	}
	var labs []color.OKLab
	for _, c := range insp.Colors {
		main, _ := color.ParseHex(c.Hex) // an inspection names its colours well
		labs = append(labs, main.OKLab())
	}
	if err == nil && len(labs) > 0 {
		near, _ = best.Nearest(labs)
	}
	return func(cell int) bool { return near >= 0 && insp.Overview.Has(cell, near) }
}

// layoutFindings says what the artwork's inspection found, as it shows in this print on this garment.
func (d *draft) layoutFindings() error {
	insp := d.Input.Inspection
	bare := false
	if border, err := color.ParseHex(insp.Border); err == nil {
		bare = d.bare(border)
	}
	var kept []artwork.Finding
	for _, f := range insp.Findings {
		switch f.Code {
		case "white_box":
			if bare {
				continue // the garment is as white as the box
			}
		case "small_on_canvas":
			if insp.Border != "" && !bare {
				continue // the border prints, so it is part of the print
			}
			b := d.boxesMM([]artwork.Box{f.Box}, insp.Width, insp.Height)[0]
			f.Message = fmt.Sprintf("the print would be %.0f x %.0f mm of the %.0f x %.0f mm: the rest of the artwork is empty",
				b[2]-b[0], b[3]-b[1], d.Doc.Print.WidthMM, d.Doc.Print.HeightMM)
			f.Remedy = fmt.Sprintf("crop the artwork to what shows, or ask for a width of %.0f mm",
				d.Doc.Print.WidthMM*float64(insp.Width)/float64(f.Box[2]-f.Box[0]))
		}
		kept = append(kept, f)
	}
	d.findings(kept)
	_, small := insp.AtPrintSize(d.Doc.Print.WidthMM, d.Doc.Print.HeightMM)
	d.findings(small)
	return nil
}

// bareMatch is the most difference from the garment, CIEDE2000, of what counts as left to it. Practice: the eye sees 2
// side by side.
const bareMatch = 2.0

// bare tells whether a colour of the artwork shows as the garment's.
func (p *Plan) bare(rgb color.RGB8) bool {
	return color.DeltaE00(p.Recipe.PrintOf(rgb), p.Recipe.Ground()) < bareMatch
}
