package plan

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"tamis/pkg/artwork"
	"tamis/pkg/separate"
)

// warn adds a warning; plate 0 is the whole job.
func (d *draft) warn(plate int, code, message string) {
	d.Doc.Warnings = append(d.Doc.Warnings, Warning{Code: code, Message: message, Plate: plate})
}

// counted is a number of things.
func counted(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// ignored says which of the order's words have no effect with what was chosen: a caller who wrote them expects one.
func (d *draft) ignored() error {
	o := d.Input.Order
	var fields []string
	if h := o.Halftone; h.Kind == "fm" {
		if h.LPI != nil {
			fields = append(fields, "halftone.lpi")
		}
		if h.AngleDeg != nil {
			fields = append(fields, "halftone.angle_deg")
		}
	} else if h.DotUM != nil && h.Kind == "am" {
		fields = append(fields, "halftone.dot_um")
	}
	if (o.Halftone.LPI != nil || o.Halftone.AngleDeg != nil || o.Halftone.DotUM != nil) && !d.anyHalftone() {
		fields = append(fields, "halftone: no plate is a halftone")
	}
	if o.Separation.IndexDither != "" && d.Doc.Method != "index" {
		fields = append(fields, "separation.index_dither")
	}
	if o.Separation.IndexDPI != nil && d.Doc.Method != "index" {
		fields = append(fields, "separation.index_dpi")
	}
	if o.Separation.Underbase == string(separate.UnderbaseOn) && !d.based() {
		fields = append(fields, "separation.underbase: there is no white among the inks")
	}
	if len(fields) > 0 {
		d.warn(0, "ignored", "no effect here: "+strings.Join(fields, ", "))
	}
	return nil
}

// mostBoxes is how many places a warning names.
const mostBoxes = 8

// based tells whether an underbase prints.
func (d *draft) based() bool {
	return slices.ContainsFunc(d.Doc.Plates, func(p Plate) bool { return p.Role == string(separate.Underbase) })
}

// gathered leaves one warning a code: the first, with the plates and places the others stand for. Twenty of a kind
// would push what matters off the setup sheet. What came without severity and remedy gets them by its code.
func (d *draft) gathered() error {
	var kept []Warning
	at, others := map[string]int{}, map[string][]string{}
	for _, w := range d.Doc.Warnings {
		i, ok := at[w.Code]
		if !ok {
			at[w.Code] = len(kept)
			kept = append(kept, w.completed())
			continue
		}
		kept[i].BoxesMM = append(kept[i].BoxesMM, w.BoxesMM...)
		if w.Severity != string(artwork.Info) {
			kept[i].Severity = string(artwork.Warning)
		}
		others[w.Code] = append(others[w.Code], fmt.Sprint(w.Plate))
	}
	for code, plates := range others {
		w := &kept[at[code]]
		if w.Plate == 0 {
			w.Message += fmt.Sprintf(" (and %d more like it)", len(plates))
		} else {
			w.Message += "; the like on plate " + strings.Join(plates, ", ")
		}
	}
	for i := range kept {
		kept[i].place()
	}
	d.Doc.Warnings = append([]Warning{}, kept...)
	return nil
}

// place puts the boxes in order, largest first, and draws the one about all.
func (w *Warning) place() {
	area := func(b [4]float64) float64 { return (b[2] - b[0]) * (b[3] - b[1]) }
	sort.SliceStable(w.BoxesMM, func(i, j int) bool { return area(w.BoxesMM[i]) > area(w.BoxesMM[j]) })
	for i, b := range w.BoxesMM {
		if i == 0 {
			w.BoxMM = b
		}
		w.BoxMM = [4]float64{min(w.BoxMM[0], b[0]), min(w.BoxMM[1], b[1]), max(w.BoxMM[2], b[2]), max(w.BoxMM[3], b[3])}
	}
	w.BoxesMM = w.BoxesMM[:min(len(w.BoxesMM), mostBoxes)]
}

// completed is the warning with what every warning has.
func (w Warning) completed() Warning {
	if w.Severity == "" {
		w.Severity = string(artwork.Warning)
	}
	if w.Remedy == "" {
		w.Remedy = remedyOf(w.Code)
	}
	return w
}

// remedyOf is what to do about warnings whose remedy needs no figures.
//
// long: a table of sentences
func remedyOf(code string) string {
	switch code {
	case "empty_plate":
		return "leave the ink out, ask for fewer screens, or have the highlights held or hybrid screens"
	case "mesh_does_not_fit":
		return "add a mesh that meets the need to the shop's list, or ask for a coarser ruling"
	case "press_too_small":
		return "ask for fewer screens, or name a press with more stations"
	case "fitted_to_press":
		return "name max_screens to have more in several runs, or a press with more stations"
	case "moire":
		return "name a finer mesh"
	case "clear_is_dense":
		return "measure the clear film; store it dark and dry, or take another"
	case "far_from_test":
		return "expose a step wedge through this film and correct the shop's exposure"
	case "black_leaks", "weak_black":
		return "darken the film: more ink, two passes or a denser film"
	case "assumed_curves":
		return "print a control strip and send its readings to /v1/calibrations"
	case NoisyCurve:
		return "read every patch three times or more, on several prints, and send all readings"
	case "curve_read_elsewhere":
		return "read a strip screened like these plates, or ask for the screen that the curve was read at"
	case "ignored":
		return "leave these fields out, or choose the method they belong to"
	case "marks_left_out":
		return "ask for a wider margin"
	case "film_split":
		return "name a wider device if the shop has one; else join the films at their marks, ink side down"
	case "prints_as_garment":
		return "name an ink for this colour, or print on a garment of this colour"
	case "ink_far_off":
		return "add an ink nearer to this colour, or have one mixed"
	case outOfGamut:
		return "allow more screens or add inks of these colours; gamut.png of a job shows where"
	case "underbase_narrows":
		return "leave a choke of less, or thicken the strokes, if colour must not show beside them"
	case "match_missed":
		return "allow more screens, add inks, or ask for a wider tolerance"
	case "cmyk_untagged":
		return "send the artwork with its colour profile, or as sRGB"
	}
	return ""
}
