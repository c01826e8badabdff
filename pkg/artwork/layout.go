package artwork

import (
	"bytes"
	"fmt"

	"tamis/pkg/cores"
	"tamis/pkg/fault"
)

// Shares of the layout. Ours; TestFindingsOnTheLayout holds them on both sides.
const (
	emptyBorder  = 0.20 // of a side left empty: more makes a print markedly smaller than its size says
	borderSame   = 0.98 // of the outermost pixels of one colour: the rest is what JPEG leaves
	whiteBoxLook = 0.10 // least share of white about art that stands on a white box
)

// layout is where the ink stands.
type layout struct {
	inked   Box // about all pixels that are not clear; none in empty art
	content Box // about all that is not the border's colour either; the inked box in art of one colour
	border  Box // the inked box, where its outermost pixels have one colour; else none
	color   [3]uint8
}

// layoutOf looks for empty borders: clear ones, and opaque ones of one colour.
func layoutOf(img *Image) layout {
	l := layout{inked: Box{0, 0, img.Width, img.Height}}
	if img.HasAlpha {
		l.inked = boxWhere(img, func(p []uint8) bool { return p[3] != 0 })
	}
	l.content = l.inked
	if color, ok := borderColor(img, l.inked); ok {
		l.border, l.color = l.inked, color
		inner := boxWhere(img, func(p []uint8) bool { return p[3] != 0 && !alike(p, color, 32) })
		if inner != (Box{}) {
			l.content = inner
		}
	}
	return l
}

// findings says what the layout makes a person stumble over.
func (l layout) findings(img *Image, d *Digest) []Finding {
	if l.inked == (Box{}) {
		return []Finding{{Code: "artwork_empty", Severity: Warning,
			Message: "every pixel of the artwork is transparent: nothing will print",
			Remedy:  "send artwork that shows something"}}
	}
	found := []Finding{}
	w, h := l.content[2]-l.content[0], l.content[3]-l.content[1]
	if float64(w) < (1-emptyBorder)*float64(img.Width) || float64(h) < (1-emptyBorder)*float64(img.Height) {
		found = append(found, Finding{Code: "small_on_canvas", Severity: Warning, Box: l.content, Message: fmt.Sprintf(
			"the artwork fills %d x %d of its %d x %d pixels; the print size counts the empty border", w, h, img.Width,
			img.Height), Remedy: "crop the artwork to what shows, or ask for a larger print"})
	}
	if l.whiteBox(d) {
		found = append(found, Finding{Code: "white_box", Severity: Warning, Box: l.border,
			Message: "the artwork stands on a white box: on a garment of another colour the box will print",
			Remedy:  "save the artwork with transparency in place of the white, unless the box is wanted"})
	}
	return found
}

// whiteBox tells art about whose edge all is near white, that is not white all over.
func (l layout) whiteBox(d *Digest) bool {
	if l.border == (Box{}) || l.content == l.border || min(l.color[0], l.color[1], l.color[2]) < 240 {
		return false
	}
	white := 0.0
	for _, b := range d.Bins {
		if min(b.RGB[0], b.RGB[1], b.RGB[2]) >= 240 && b.Alpha == 1 {
			white += b.Share
		}
	}
	return white >= whiteBoxLook*(1-d.Transparent)
}

// boxWhere is the smallest box about all pixels that are told; none where no pixel is.
func boxWhere(img *Image, told func(p []uint8) bool) Box {
	rows := make([][2]int, img.Height)
	cores.Ranges(img.Height, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row := img.Pix[4*y*img.Width : 4*(y+1)*img.Width]
			first, last := 0, img.Width
			for first < last && !told(row[4*first:4*first+4]) {
				first++
			}
			for first < last && !told(row[4*last-4:4*last]) {
				last--
			}
			rows[y] = [2]int{first, last}
		}
	})
	b := Box{}
	for y, r := range rows {
		if r[0] < r[1] {
			b = b.union(Box{r[0], y, r[1], y + 1})
		}
	}
	return b
}

// borderColor is the one opaque colour of the outermost pixels of a box.
func borderColor(img *Image, b Box) (color [3]uint8, ok bool) {
	if b == (Box{}) {
		return color, false
	}
	at := func(x, y int) []uint8 { return img.Pix[4*(y*img.Width+x):][:4] }
	copy(color[:], at(b[0], b[1]))
	same, all := 0, 0
	look := func(x, y int) {
		all++
		if p := at(x, y); p[3] >= 250 && alike(p, color, 8) {
			same++
		}
	}
	for x := b[0]; x < b[2]; x++ {
		look(x, b[1])
		look(x, b[3]-1)
	}
	for y := b[1]; y < b[3]; y++ {
		look(b[0], y)
		look(b[2]-1, y)
	}
	for _, corner := range [][2]int{{b[0], b[1]}, {b[2] - 1, b[1]}, {b[0], b[3] - 1}, {b[2] - 1, b[3] - 1}} {
		if p := at(corner[0], corner[1]); p[3] < 250 || !alike(p, color, 8) {
			return color, false
		}
	}
	return color, float64(same) >= borderSame*float64(all)
}

// alike tells whether no channel is more than most codes off.
func alike(p []uint8, color [3]uint8, most int) bool {
	for c := range 3 {
		if d := int(p[c]) - int(color[c]); d > most || d < -most {
			return false
		}
	}
	return true
}

// previewPX is the longest side of the stored preview.
const previewPX = 400

// previewOf packs the picture reduced to previewPX as PNG.
func previewOf(small *Image) ([]byte, error) {
	var buf bytes.Buffer
	if err := WritePNG(&buf, small.Pix, small.Width, small.Height); err != nil {
		return nil, fault.Wrap(err, fault.Internal, "preview", "the preview cannot be packed")
	}
	return buf.Bytes(), nil
}

// Reduced is the picture area-averaged so that neither side is longer than maxPX; the picture itself where it is
// small enough. Colours are averaged in linear light, weighted by alpha.
func (m *Image) Reduced(maxPX int) *Image {
	long := max(m.Width, m.Height)
	if long <= maxPX {
		return m
	}
	w, h := max(1, m.Width*maxPX/long), max(1, m.Height*maxPX/long)
	return m.Resampled(w, h)
}
