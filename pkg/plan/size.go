package plan

import (
	"math"

	"tamis/pkg/fault"
)

// size settles the print's two lengths from the artwork's aspect.
func (d *draft) size() error {
	insp, p := d.Input.Inspection, d.Input.Order.Print
	aspect := float64(insp.Height) / float64(insp.Width)
	width, height := p.WidthMM, p.WidthMM*aspect
	switch {
	case p.WidthMM == 0:
		width, height = p.HeightMM/aspect, p.HeightMM
	case p.HeightMM != 0 && height > p.HeightMM:
		width, height = p.HeightMM/aspect, p.HeightMM
	}
	if short := math.Min(width, height); short < 1 {
		return fault.Invalidf("/print", "too_thin", "the print would be %.1f x %.1f mm; 1 mm is the least", width, height)
	}
	if long := math.Max(width, height); long > 3000 {
		return fault.Invalidf("/print", "too_long", "the print would be %.0f x %.0f mm; 3000 mm is the most", width, height)
	}
	ppi, _ := insp.AtPrintSize(width, height)
	d.Doc.Print = Size{WidthMM: milli(width), HeightMM: milli(height), EffectivePPI: math.Round(ppi*10) / 10}
	return nil
}

// milli rounds to three decimals: what a document shows and what is reckoned with are the same figure.
func milli(x float64) float64 { return math.Round(x*1000) / 1000 }

// fine rounds to five decimals, for coverages and grams.
func fine(x float64) float64 { return math.Round(x*1e5) / 1e5 }
