package sheet

import (
	"fmt"
	"math"
)

const rowHeight = 6.2

// column is one column of the plate table: its head, its share of the width, and its text for a plate.
type column struct {
	head  string
	share float64
	text  func(Plate) string
}

// long: a table of columns
func columns() []column {
	return []column{
		{"", 0.055, func(p Plate) string { return fmt.Sprint(p.N) }},
		{"Ink", 0.125, func(p Plate) string { return p.Ink }},
		{"Role", 0.08, func(p Plate) string { return p.Role }},
		{"Mesh", 0.14, func(p Plate) string { return p.Mesh }},
		{"Ruling, angle", 0.14, func(p Plate) string { return p.Screen }},
		{"Squeegee", 0.125, func(p Plate) string { return p.Squeegee }},
		{"Expose", 0.055, func(p Plate) string { return fmt.Sprintf("%g s", math.Round(p.ExposureS*10)/10) }},
		{"g / print", 0.065, func(p Plate) string { return fmt.Sprintf("%.2f", p.GramsPrint) }},
		{"Mix", 0.05, func(p Plate) string { return fmt.Sprintf("%d g", p.MixGrams) }},
		{"Film", 0.165, func(p Plate) string { return p.File }},
	}
}

// table is one row a screen in press order, a flash as a bar between two rows.
func (p *page) table() {
	width := p.right() - margin
	p.rule(p.y)
	x := margin
	for _, c := range columns() {
		p.text(x-1, p.y+1.4, width*c.share+1, 7, bold, c.head)
		x += width * c.share
	}
	p.y += rowHeight - 0.8
	for i, plate := range p.d.Plates {
		p.row(i, plate)
	}
	p.rule(p.y)
	p.y += 0.8
	p.note(fmt.Sprintf("Mix: all prints, %g %% reckoned lost, and the %g g that stay in each screen, rounded up to 10 g. "+
		"Mesh: threads per cm, thread in µm, colour.", p.d.SpoilagePercent, p.d.ScreenChargeG))
	if p.d.Exposure != "" {
		p.note("Exposure: " + p.d.Exposure + ".")
	}
	p.y += 1.2
}

// note is a line under the table, or two.
func (p *page) note(s string) {
	for _, line := range p.wrap(s, p.right()-margin, 2, 7) {
		p.text(margin-1, p.y, p.right()-margin+2, 7, regular, line)
		p.y += noteLine
	}
}

// flashMM is the height of a flash's bar between two rows.
const flashMM = 2.7

func (p *page) row(i int, plate Plate) {
	width := p.right() - margin
	if i%2 == 0 {
		p.SetFillColor(242, 242, 240)
		p.Rect(margin, p.y, width, rowHeight, "F")
	}
	p.swatch(margin+width*0.055-4.2, p.y+1.4, 3.4, 3.4, plate.Hex)
	x := margin
	for n, c := range columns() {
		font := regular
		if n < 2 {
			font = bold
		}
		p.squeezed(x-1, p.y+1.6, width*c.share+1, 7.6, font, c.text(plate))
		x += width * c.share
	}
	p.y += rowHeight
	if plate.Flash {
		p.SetFillColor(255, 196, 60)
		p.Rect(margin, p.y, width, flashMM, "F")
		p.text(margin+width*0.055-1, p.y+0.3, width, 6, bold, "FLASH to touch-dry, let it cool")
		p.y += flashMM
	}
}

// squeezed is text in smaller letters where that saves its end: names of films must be whole.
func (p *page) squeezed(x, y, width, sizePT float64, font, s string) {
	const leastPT = 5.0
	p.SetFont(font, "", sizePT)
	if wide := p.GetStringWidth(p.printable(s)); wide > width-2 {
		small := math.Max(leastPT, sizePT*(width-2.01)/wide)
		y, sizePT = y+(sizePT-small)*0.2, small
	}
	p.text(x, y, width, sizePT, font, s)
}

// Cautions are the usual ones; the sheets of the makers and the local rules come first.
const Cautions = "UV lamps: never look into them, keep the unit closed. Emulsions, solvents and reclaimers: gloves, goggles, " +
	"ventilation, no flame; their safety data sheets come first. Dryers and flash units burn and give off fumes: exhaust them; cure by the " +
	"ink's data sheet and a wash test. Powder, spray and lint: mask and clean air. Moving heads crush. Local fire, waste " +
	"and workplace codes apply; wiring and gas are for licensed trades."

const noteLine = 3.3

// notes are the cautions, at the foot of the page.
func (p *page) notes() {
	y := math.Max(p.y, p.height-margin-p.notesHeight())
	for _, line := range p.wrap(Cautions, p.right()-margin, 8, 7) {
		p.text(margin-1, y, p.right()-margin+2, 7, regular, line)
		y += noteLine
	}
}

func (p *page) notesHeight() float64 {
	return float64(len(p.wrap(Cautions, p.right()-margin, 8, 7)))*noteLine + 1
}

// wrap breaks a text into lines of a width in mm; past most lines the last ends in an ellipsis.
func (p *page) wrap(s string, width float64, most int, sizePT float64) []string {
	if s == "" {
		return nil
	}
	p.SetFont(bold, "", sizePT) // bold runs a little wider than regular
	lines := p.SplitText(p.printable(s), width)
	if len(lines) > most {
		lines = lines[:most]
		lines[most-1] += "…"
	}
	return lines
}
