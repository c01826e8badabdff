package plan

import (
	"fmt"
	"strings"

	"tamis/pkg/artwork"
	"tamis/pkg/film"
	"tamis/pkg/stencil"
)

// page lays the film page out: the same for every plate.
func (d *draft) page() error {
	f := d.Input.Order.Film
	layout, err := film.NewLayout(film.Spec{PrintWidthMM: d.Doc.Print.WidthMM, PrintHeightMM: d.Doc.Print.HeightMM,
		MarginMM: *f.MarginMM, Device: d.device.Film(), Negative: f.Polarity == "negative",
		Reading: film.Reading(f.Reading), Plates: len(d.Doc.Plates), Split: f.Split, OverlapMM: f.OverlapMM})
	if err != nil {
		return err
	}
	d.Layout = layout
	if missing := layout.Missing(); len(missing) > 0 {
		w := Warning{Code: "marks_left_out", Severity: string(artwork.Info), Message: "no room on the film for: " +
			strings.ReplaceAll(strings.Join(missing, ", "), "_", " ") + "; a wider margin or a larger print has it"}
		for _, mark := range missing {
			if mark != "second_check_bar" && mark != "density_wedge" { // a film does without these
				w.Severity = string(artwork.Warning)
			}
		}
		d.Doc.Warnings = append(d.Doc.Warnings, w)
	}
	d.Doc.Film = FilmPage{Device: d.device.Name, XDPI: d.device.XDPI, YDPI: d.device.YDPI,
		WidthPX: layout.WidthPX, HeightPX: layout.HeightPX, WidthMM: milli(layout.WidthMM), HeightMM: milli(layout.HeightMM),
		PrintBox: layout.PrintBoxPX, Rotated: layout.Rotated, LeakSteps: tenth(stencil.LeakSteps(d.device.Dmin, d.device.Dmax))}
	for _, p := range layout.Pages() {
		if p.Part > 0 {
			d.Doc.Film.Parts = append(d.Doc.Film.Parts, FilmPart{Part: p.Part, WidthPX: p.WidthPX, HeightPX: p.HeightPX,
				WidthMM: milli(p.WidthMM), HeightMM: milli(p.HeightMM), PrintBox: p.PrintBoxPX, Shows: p.PartPX})
		}
	}
	if n := len(d.Doc.Film.Parts); n > 0 {
		d.warn(0, "film_split", fmt.Sprintf("the print is larger than the device: every plate goes over %d films, "+
			"joined at the marks before the screen is burned", n))
	}
	d.Doc.FilmAreaM2 = fine(layout.AreaMM2() / 1e6 * float64(len(d.Doc.Plates)))
	return nil
}
