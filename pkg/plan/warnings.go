package plan

import (
	"fmt"
	"strings"
)

// warn adds a warning; plate 0 is the whole job.
func (d *draft) warn(plate int, code, message string) {
	d.Doc.Warnings = append(d.Doc.Warnings, Warning{Code: code, Message: message, Plate: plate})
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
	if o.Separation.IndexDPI != nil && d.Doc.Method != "index" {
		fields = append(fields, "separation.index_dpi")
	}
	if len(fields) > 0 {
		d.warn(0, "ignored", "no effect here: "+strings.Join(fields, ", "))
	}
	return nil
}

// gathered leaves one warning a code: the first, with the plates the others stand for. Twenty of a kind would push what
// matters off the setup sheet.
func (d *draft) gathered() error {
	var kept []Warning
	at, others := map[string]int{}, map[string][]string{}
	for _, w := range d.Doc.Warnings {
		if _, ok := at[w.Code]; !ok {
			at[w.Code] = len(kept)
			kept = append(kept, w)
			continue
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
	d.Doc.Warnings = append([]Warning{}, kept...)
	return nil
}
