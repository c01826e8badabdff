package sheet

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	_ "image/jpeg" // its headers
	"image/png"
	"math"
	"strings"

	"codeberg.org/go-pdf/fpdf"
)

// head is the order in large letters, with shop, job and the code to it.
func (p *page) head() {
	half := (p.right() - margin) * 0.6
	side, sideX := p.right()-margin-half, margin+half
	if p.d.Address != "" {
		side -= codeMM + 3
	}
	kind := p.d.Shop + "  ·  setup sheet"
	if p.d.Part != "" {
		kind = p.d.Part + "  ·  " + kind
	}
	p.text(margin-1, p.y, half, 8, regular, kind)
	p.title(p.titleText(), half)
	p.text(sideX, p.y, side, 8, regular, "work "+p.d.Job)
	p.text(sideX, p.y+5.2, side, 10, bold, p.pieces()+" · "+count(len(p.d.Plates), "screen"))
	p.text(sideX, p.y+9.6, side, 8, regular, p.d.Press)
	p.code(p.d.Address, p.right(), p.y)
	p.y += codeMM + 2
	p.rule(p.y)
	p.y += 3
}

// pieces says how many are printed, of how many garments.
func (p *page) pieces() string {
	switch {
	case len(p.d.Runs) > 0:
		return count(p.d.Quantity, "print")
	case p.d.Garments > 0:
		return fmt.Sprintf("%d of %s", p.d.Quantity, count(p.d.Garments, "piece"))
	}
	return count(p.d.Quantity, "piece")
}

// titleText is what the job is called.
func (p *page) titleText() string {
	if p.d.Order == "" {
		return p.d.Job
	}
	return p.d.Order
}

// title is one line of large letters, or two of smaller ones, or three of small ones.
func (p *page) title(s string, width float64) {
	const largePT, smallPT, leastPT = 19, 11, 8.5
	if p.SetFont(bold, "", largePT); p.GetStringWidth(p.printable(s)) <= width-3 {
		p.text(margin-1, p.y+5.5, width, largePT, bold, s)
		return
	}
	sizePT, pitchMM := float64(smallPT), 5.0
	if len(p.wrap(s, width-3, 3, smallPT)) > 2 {
		sizePT, pitchMM = leastPT, 4.0
	}
	for i, line := range p.wrap(s, width-3, 3, sizePT) {
		p.text(margin-1, p.y+5+pitchMM*float64(i), width, sizePT, bold, line)
	}
}

// count says how many of a thing.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// facts are the job's figures and what to watch on the left, the proof on the right. The proof takes what the rest of
// the page leaves.
func (p *page) facts() {
	most := math.Max(48, math.Min(128, p.height-p.y-margin-p.below()))
	column := (p.right() - margin) * 0.46
	top, y := p.y, p.y
	for _, f := range p.lines() {
		p.text(margin-1, y, 21, 7.5, regular, f[0])
		p.text(margin+18, y, column-20, 9, regular, f[1])
		y += 4.5
	}
	p.swatch(margin, y+0.6, column-4, 5, p.d.GarmentHex)
	y = p.watch(y+8.5, top+most, column-2)
	end := p.shown(margin+column, top, p.right()-margin-column, most)
	p.y = math.Max(end, y) + 4
}

// shown is the proof with the sketch under it or beside it, whichever leaves the proof larger, in a box from x, y. It
// gives where it ends.
func (p *page) shown(x, y, width, most float64) float64 {
	const besideMM, underMM = 32.0, sketchMM + 2
	aspect := p.d.HeightMM / math.Max(p.d.WidthMM, 1)
	under := math.Min(width, (most-underMM)/math.Max(aspect, 0.01))
	beside := math.Min(width-besideMM, most/math.Max(aspect, 0.01))
	if under >= beside {
		h := p.picture("proof", p.d.Proof, x, y, width, most-underMM)
		return p.position(x, y+h+2, width)
	}
	h := p.picture("proof", p.d.Proof, x, y, width-besideMM, most)
	return math.Max(y+h, p.position(x+width-besideMM+2, y, besideMM-2))
}

// check tells the printer what to measure before burning.
const check = "Before burning: the check bars on the film must measure their stated length, the register marks of all films " +
	"must fall on one another, black must look black against a lamp. Films lie ink side to the emulsion."

// watch writes the check and then a paragraph a warning into the left column between y and bottom, as much as fits, and
// gives where they end. Warnings that find no room stand overleaf; their number is said in their place.
func (p *page) watch(y, bottom, width float64) float64 {
	y = p.paragraph(regular, check, y, bottom, width) + 1.5
	end, left := p.warnings(p.d.Warnings, y, bottom, width, "overleaf")
	p.left = left
	return end
}

// warnings writes a paragraph a warning between y and bottom, and gives where they end and those left, of which where
// says the place.
func (p *page) warnings(texts []string, y, bottom, width float64, where string) (end float64, left []string) {
	for i, text := range texts {
		more := len(texts) - i
		lines := p.wrap("•  "+text, width, 99, noteSizePT)
		last := bottom - noteLine // kept for what is said of the rest
		if more == 1 {
			last = bottom
		}
		if y+noteLine*float64(len(lines)) > last {
			said := fmt.Sprintf("•  and %s %s", count(more, "more warning"), where)
			return p.paragraph(bold, said, y, bottom, width), texts[i:]
		}
		y = p.paragraph(bold, "•  "+text, y, last, width) + 0.5
	}
	return y, nil
}

// overleaf is a second page with the warnings that found no room on the first.
func (p *page) overleaf() {
	if len(p.left) == 0 {
		return
	}
	p.AddPage()
	width := p.right() - margin
	p.text(margin-1, margin, width, 8, regular, p.d.Shop+"  ·  setup sheet, page 2  ·  job "+p.d.Job)
	p.y = margin
	p.title(p.titleText(), width)
	p.rule(margin + codeMM + 2)
	p.warnings(p.left, margin+codeMM+5, p.height-margin, width-2, "in the plan")
}

// noteSizePT is the size of what stands in the left column.
const noteSizePT = 7.6

// paragraph writes a text between y and bottom, as many lines as fit, and gives where it ends.
func (p *page) paragraph(font, text string, y, bottom, width float64) float64 {
	room := int((bottom - y) / noteLine)
	if room < 1 {
		return y
	}
	for _, line := range p.wrap(text, width, room, noteSizePT) {
		p.text(margin-1, y, width+3, noteSizePT, font, line)
		y += noteLine
	}
	return y
}

// stations is how the job hangs in the press.
func (d Data) stations() string {
	if d.Passes != "" {
		return fmt.Sprintf("%d of %d: %s", d.StationsNeeded, d.Stations, d.Passes)
	}
	return fmt.Sprintf("%d needed of %d, flashes included", d.StationsNeeded, d.Stations)
}

func (p *page) lines() [][2]string {
	d := p.d
	garment := d.GarmentHex
	if d.GarmentName != "" {
		garment = d.GarmentName + "  " + d.GarmentHex
	}
	lines := [][2]string{{"Print", fmt.Sprintf("%.1f × %.1f mm, %s", d.WidthMM, d.HeightMM, strings.ReplaceAll(d.Placement, "_", " "))}}
	if len(d.Runs) > 0 {
		lines = append(lines, [2]string{"Screens for", strings.Join(d.Runs, ", ")})
	}
	return append(lines, [][2]string{
		{"Artwork", fmt.Sprintf("%.0f ppi at this size", d.EffectivePPI)},
		{"Method", d.Method},
		{"Match", fmt.Sprintf("ΔE00 mean %.1f, 95 %% below %.1f", d.MatchMean, d.MatchP95)},
		{"Film", fmt.Sprintf("%.1f × %.1f mm", d.FilmWidthMM, d.FilmHeightMM)},
		{"Device", d.Device},
		{"Black", fmt.Sprintf("%.1f wedge steps over clear", d.BlackSteps)},
		{"Stencil", d.Stencil},
		{"Lamp", d.Lamp},
		{"Register", d.Register},
		{"Stations", d.stations()},
		{"Garment", garment},
	}...)
}

// below is the height of everything under the facts.
func (p *page) below() float64 {
	flashes := 0
	for _, plate := range p.d.Plates {
		if plate.Flash {
			flashes++
		}
	}
	return p.filmsHeight() + 7 + rowHeight*float64(len(p.d.Plates)+2) + flashMM*float64(flashes) + 4*noteLine +
		p.notesHeight() + 6
}

// picture fits a PNG or JPEG into a box, keeping its shape, with a thin frame, and gives its height.
func (p *page) picture(name string, data []byte, x, y, w, h float64) float64 {
	if len(data) == 0 {
		return 0
	}
	kind := fpdf.ImageOptions{ImageType: "PNG"}
	if bytes.HasPrefix(data, []byte("\xff\xd8")) {
		kind.ImageType = "JPG"
	}
	info := p.RegisterImageOptionsReader(name, kind, bytes.NewReader(data))
	if info == nil || info.Width() == 0 || info.Height() == 0 {
		return 0
	}
	scale := math.Min(w/info.Width(), h/info.Height())
	pw, ph := info.Width()*scale, info.Height()*scale
	px, py := x, y
	p.ImageOptions(name, px, py, pw, ph, false, kind, 0, "")
	p.SetDrawColor(120, 120, 120)
	p.SetLineWidth(0.1)
	p.Rect(px, py, pw, ph, "D")
	return ph
}

// filmGap stands between two thumbnails, in mm.
const filmGap = 2.0

// filmsHeight is the height of the thumbnails with their captions.
func (p *page) filmsHeight() float64 {
	return math.Min(34, p.thumbWidth()*math.Min(1.4, math.Max(0.4, p.d.HeightMM/math.Max(p.d.WidthMM, 1)))) + 6
}

func (p *page) thumbWidth() float64 {
	return math.Min(34, (p.right()-margin)/float64(max(len(p.d.Plates), 1))-filmGap)
}

// films is a row of film thumbnails in press order. They go in as one picture: the PDF library orders pictures of the
// same width by chance, and the same sheet must be the same bytes.
func (p *page) films() {
	w, h := p.thumbWidth(), p.filmsHeight()-6
	if strip, cellW := p.strip(); strip != nil {
		scale := math.Min(w/float64(cellW), h/float64(strip.Rect.Dy()))
		var data bytes.Buffer
		if png.Encode(&data, strip) == nil {
			p.RegisterImageOptionsReader("films", fpdf.ImageOptions{ImageType: "PNG"}, &data)
		}
		step := w + filmGap
		for i := range p.d.Plates {
			p.film(i, margin+float64(i)*step, scale, cellW, strip)
		}
	}
	for i, plate := range p.d.Plates {
		p.text(margin+float64(i)*(w+filmGap)-1, p.y+h+0.8, w+filmGap, 7, regular, fmt.Sprintf("%d %s", plate.N, plate.Ink))
	}
	p.y += p.filmsHeight() + 1
}

// film shows the i-th cell of the strip at x, framed.
func (p *page) film(i int, x, scale float64, cellW int, strip *image.Gray) {
	w, h := float64(cellW)*scale, float64(strip.Rect.Dy())*scale
	p.ClipRect(x, p.y, w, h, false)
	p.ImageOptions("films", x-float64(i)*w, p.y, float64(strip.Rect.Dx())*scale, h, false, fpdf.ImageOptions{ImageType: "PNG"}, 0, "")
	p.ClipEnd()
	p.SetDrawColor(120, 120, 120)
	p.SetLineWidth(0.1)
	p.Rect(x, p.y, w, h, "D")
}

// strip joins the thumbnails side by side; cellW is the width of each. All films of a job have one size.
func (p *page) strip() (strip *image.Gray, cellW int) {
	if len(p.d.Plates) == 0 || p.d.Plates[0].Thumb == nil {
		return nil, 0
	}
	size := p.d.Plates[0].Thumb.Rect
	width := size.Dx() * len(p.d.Plates)
	if proof, _, err := image.DecodeConfig(bytes.NewReader(p.d.Proof)); err == nil && proof.Width == width {
		width++ // a column past the last cell, never shown: no two pictures have one width
	}
	strip = image.NewGray(image.Rect(0, 0, width, size.Dy()))
	for i, plate := range p.d.Plates {
		if plate.Thumb != nil {
			draw.Draw(strip, size.Add(image.Pt(i*size.Dx(), 0)), plate.Thumb, size.Min, draw.Src)
		}
	}
	return strip, size.Dx()
}
