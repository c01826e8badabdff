package sheet

import (
	"strings"

	"codeberg.org/go-pdf/fpdf"
)

// A place is where on the garment a print usually lies: millimetres across from the centre line, to the right as one
// looks at it, and from the top of the shoulders down to the print's upper edge, or to its middle where mid is set.
// Practice, for an adult's shirt: nobody's norm, so the sheet says to measure.
type place struct {
	words    []string // all must be in the order's placement; the first place that fits counts
	x, y     float64
	mid, off bool // off: the back is shown
	say      string
}

// long: a table of places
func places() []place {
	return []place{
		{words: []string{"left", "chest"}, x: 100, y: 150, say: "wearer's left; middle about 100 mm from the centre line"},
		{words: []string{"right", "chest"}, x: -100, y: 150, say: "wearer's right; middle about 100 mm from the centre line"},
		{words: []string{"pocket"}, x: 100, y: 150, say: "wearer's left; middle about 100 mm from the centre line"},
		{words: []string{"left", "sleeve"}, x: 315, y: 185, mid: true, say: "wearer's left sleeve, middle of the sleeve"},
		{words: []string{"sleeve"}, x: -315, y: 185, mid: true, say: "wearer's right sleeve, middle of the sleeve"},
		{words: []string{"nape"}, y: 50, off: true, say: "back, about 25 mm under the collar seam"},
		{words: []string{"neck"}, y: 50, off: true, say: "back, about 25 mm under the collar seam"},
		{words: []string{"back"}, y: 125, off: true, say: "back, centred; upper edge about 100 mm under the collar"},
		{words: []string{"hem"}, y: 640, mid: true, say: "front, centred, above the hem"},
		{words: []string{"front"}, y: 175, say: "front, centred; upper edge about 80 mm under the collar"},
		{words: []string{"chest"}, y: 175, say: "front, centred; upper edge about 80 mm under the collar"},
	}
}

// placeOf finds the place an order names. One it does not know is shown as a front, and said to be unknown.
func placeOf(placement string) place {
	name := strings.ToLower(placement)
next:
	for _, p := range places() {
		for _, w := range p.words {
			if !strings.Contains(name, w) {
				continue next
			}
		}
		return p
	}
	return place{y: 175, say: "a place this sketch does not know: it shows a front; ask before printing"}
}

// The shirt of the sketch, in millimetres from the middle of its shoulders. Practice: about an adult's L, laid flat.
const (
	shirtHalfMM, shirtLongMM = 392.0, 720.0
	collarHalfMM             = 90.0
	collarFrontMM            = 95.0
	collarBackMM             = 25.0
)

// outline is the shirt's right half from the collar down to the hem.
func outline() [][2]float64 {
	return [][2]float64{{collarHalfMM, 0}, {250, 42}, {392, 250}, {308, 306}, {262, 240}, {262, shirtLongMM}}
}

// sketch draws the garment with the print's place, heightMM of paper high, its top left corner at x, y, and gives its
// width. What of the print lies beyond the garment's paper is cut off.
func (p *page) sketch(x, y, heightMM float64) (widthMM float64) {
	scale := heightMM / shirtLongMM
	widthMM = 2 * shirtHalfMM * scale
	at := func(mmX, mmY float64) fpdf.PointType {
		return fpdf.PointType{X: x + (shirtHalfMM+mmX)*scale, Y: y + mmY*scale}
	}
	where := placeOf(p.d.Placement)
	p.shirt(at, where.off)
	w, h := p.d.WidthMM*scale, p.d.HeightMM*scale
	corner := at(where.x-p.d.WidthMM/2, where.y)
	if where.mid {
		corner.Y -= h / 2
	}
	p.ClipRect(x, y, widthMM, heightMM, false)
	ink := 255
	if r, g, b := rgb(p.d.GarmentHex); 2*r+5*g+b > 8*128 {
		ink = 0
	}
	p.SetDrawColor(ink, ink, ink)
	p.SetLineWidth(0.15)
	p.SetDashPattern([]float64{1, 0.7}, 0)
	p.Line(at(0, 0).X, at(0, collarFrontMM).Y, at(0, 0).X, y+heightMM)
	p.SetDashPattern(nil, 0)
	p.SetFillColor(214, 120, 30) // stands out from any garment beside its outline
	p.SetLineWidth(0.3)
	p.Rect(corner.X, corner.Y, w, h, "FD")
	p.ClipEnd()
	return widthMM
}

// shirt draws the garment in its colour, from the front or from behind.
func (p *page) shirt(at func(x, y float64) fpdf.PointType, behind bool) {
	half := outline()
	var points []fpdf.PointType
	for _, v := range half {
		points = append(points, at(v[0], v[1]))
	}
	for i := len(half) - 1; i >= 0; i-- {
		points = append(points, at(-half[i][0], half[i][1]))
	}
	drop := collarFrontMM
	if behind {
		drop = collarBackMM
	}
	const steps = 12
	for i := 1; i < steps; i++ {
		u := 2*float64(i)/steps - 1
		points = append(points, at(u*collarHalfMM, drop*(1-u*u)))
	}
	r, g, b := rgb(p.d.GarmentHex)
	p.SetFillColor(r, g, b)
	p.SetDrawColor(90, 90, 90)
	p.SetLineWidth(0.25)
	p.Polygon(points, "FD")
}

// sketchMM is the height of the sketch.
const sketchMM = 27.0

// linesBeside is how many lines stand beside it.
const linesBeside = 8

// position is the sketch with what it shows in words, within width mm from x, y: the words beside it, or under
// it. It gives where it ends.
func (p *page) position(x, y, width float64) float64 {
	w := p.sketch(x, y, sketchMM)
	where := "Print: " + placeOf(p.d.Placement).say + ". Usual places on an adult's shirt, not to measure from: agree the " +
		"place, and keep it from garment to garment."
	textX, textY, textW, room := x+w+1, y, width-w-3, linesBeside
	if textW < w {
		textX, textY, textW, room = x-1, y+sketchMM+1, width-1, 12
	}
	for _, line := range p.wrap(where, textW, room, noteSizePT) {
		p.text(textX, textY, textW+3, noteSizePT, regular, line)
		textY += noteLine
	}
	return max(y+sketchMM, textY)
}
