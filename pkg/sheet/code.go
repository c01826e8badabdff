package sheet

import "rsc.io/qr"

const (
	codeMM = 17.0 // side of the code without its quiet zone; a phone reads modules from some 0.25 mm
	// MaxAddress is the longest text in bytes that makes a code worth printing: 61 modules of 0.28 mm.
	MaxAddress = 200
)

// code draws a QR code of medium error correction, its top right corner at right, y. Whoever places it leaves four modules
// of white about it (ISO/IEC 18004). An empty or overlong text has none.
func (p *page) code(text string, right, y float64) {
	if text == "" || len(text) > MaxAddress {
		return
	}
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		p.SetError(err)
		return
	}
	unit := codeMM / float64(code.Size)
	p.SetFillColor(0, 0, 0)
	for row := range code.Size {
		for from := 0; from < code.Size; from++ {
			to := from
			for to < code.Size && code.Black(to, row) {
				to++
			}
			if to > from {
				p.Rect(right-codeMM+float64(from)*unit, y+float64(row)*unit, float64(to-from)*unit, unit, "F")
				from = to
			}
		}
	}
}
