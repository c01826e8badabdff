package produce

import (
	"fmt"
	"image"
	"math"
	"net/url"
	"strings"

	"tamis/pkg/artwork"
	"tamis/pkg/plan"
	"tamis/pkg/raster"
	"tamis/pkg/sheet"
)

// sheetData gathers the sheet's facts from the plan.
func (r *run) sheetData() sheet.Data {
	doc, o, part := r.Plan.Doc, r.Plan.Input.Order, r.Plan.Part
	d := sheet.Data{Paper: r.Plan.Input.Shop.Profile.Paper, Shop: r.Plan.Input.Shop.Profile.Name, Job: r.Label,
		Order: strings.Trim(o.OrderRef+", "+o.OrderDate, ", "), GarmentName: o.Garment.Name, GarmentHex: o.Garment.Color, Placement: o.Print.Placement,
		Method: strings.ReplaceAll(doc.Method, "_", " "), Quantity: part.Pieces, Part: part.Name(), WidthMM: doc.Print.WidthMM,
		HeightMM: doc.Print.HeightMM, EffectivePPI: doc.Print.EffectivePPI, MatchMean: doc.Match.Mean, MatchP95: doc.Match.P95,
		Device: doc.Film.Device, Press: doc.Press.Name, FilmWidthMM: doc.Film.WidthMM, FilmHeightMM: doc.Film.HeightMM,
		StationsNeeded: doc.Press.StationsNeeded, Stations: doc.Press.Stations, Passes: passes(doc.Press), BlackSteps: doc.Film.LeakSteps,
		Exposure: doc.Exposure.Assumes, Register: registerText(doc.Register), Stencil: stencilText(doc.Exposure), Lamp: lampText(doc.Exposure),
		Proof: r.art.proof, Address: r.address(),
		SpoilagePercent: r.Plan.Input.Shop.Prices.SpoilagePercent.InexactFloat64(),
		ScreenChargeG:   r.Plan.Input.Shop.Prices.ScreenChargeG.InexactFloat64()}
	if o.Quantity < part.Order.Quantity {
		d.Garments = part.Order.Quantity
	}
	for _, run := range sameScreens(part) {
		d.Runs = append(d.Runs, fmt.Sprintf("%d on %s", run.Quantity, run.Placement))
	}
	for i, p := range doc.Plates {
		d.Plates = append(d.Plates, r.sheetPlate(p, r.art.planes[i]))
	}
	for _, w := range r.result.Plan.Warnings {
		if w.Severity != string(artwork.Info) {
			d.Warnings = append(d.Warnings, w.Message)
		}
	}
	return d
}

func (r *run) sheetPlate(p plan.Plate, plane *raster.Plane) sheet.Plate {
	file := r.filmOf(p)
	if n := r.Plan.Layout.Parts; n > 0 {
		file += fmt.Sprintf(" (first of %d)", n)
	}
	return sheet.Plate{N: p.N, Ink: p.Ink.Name, Hex: p.Ink.Hex, Role: p.Role,
		Mesh: fmt.Sprintf("%g-%g %s · %.0f tpi", p.Mesh.ThreadsPerCM, p.Mesh.ThreadUM, p.Mesh.Color, p.Mesh.TPI), Screen: screenText(p), File: file,
		Squeegee: fmt.Sprintf("%d A, %d×, %g mm", p.SqueegeeA, p.Strokes, p.OffContactMM), Flash: p.FlashAfter,
		GramsPrint: p.InkGrams, ExposureS: p.ExposureS, MixGrams: r.mixGrams(p), Thumb: thumb(plane)}
}

// filmOf names a plate's film, of a split print the first.
func (r *run) filmOf(p plan.Plate) string {
	if r.wants("tiff") {
		return filmName(p, min(1, r.Plan.Layout.Parts), "tif")
	}
	return fmt.Sprint(pdfFile, ", page ", 1+(p.N-1)*len(r.Plan.Layout.Pages()))
}

// address is where the service lists the job, for the sheet's code: by the order's reference, since jobs that ask for the
// same share their files. Without one, or with one too long for a code, it is the work's short name.
func (r *run) address() string {
	at := r.Plan.Input.Shop.Profile.Site + "/v1/jobs?order_ref=" + url.QueryEscape(r.Plan.Input.Order.OrderRef)
	if r.Plan.Input.Order.OrderRef == "" || len(at) > sheet.MaxAddress {
		return r.Label
	}
	return at
}

// passes words the runs over the press, where there are several.
func passes(p plan.PressPlan) string {
	if len(p.Runs) == 0 {
		return ""
	}
	return fmt.Sprintf("%d runs, %s", len(p.Runs), p.Divided())
}

// registerText is the register budget in a line.
func registerText(r plan.Register) string {
	s := fmt.Sprintf("%.2f mm expected", r.TotalMM)
	if !r.ButtJoints && !r.Based {
		return s + ", no inks butt"
	}
	if r.ButtJoints {
		s += fmt.Sprintf(", trap %.2f", r.TrapMM)
	}
	if r.Based {
		s += fmt.Sprintf(", choke %.2f", r.ChokeMM)
	}
	if !r.Covered {
		s += fmt.Sprintf(" of %.2f", r.CoverMM)
	}
	return s + " mm"
}

// stencilText is how far the emulsion is hardened and which it is, in a line: the name last, as it may be cut.
func stencilText(e plan.Exposure) string {
	to := fmt.Sprintf("to wedge step %g", e.TargetStep)
	switch {
	case e.Emulsion == "":
		return to + ", emulsion not named"
	case e.Coats == 1:
		return "1 coat " + to + ", " + e.Emulsion
	}
	return fmt.Sprintf("%d coats %s, %s", e.Coats, to, e.Emulsion)
}

func lampText(e plan.Exposure) string {
	if e.Lamp == "" {
		return "as in the shop's own test"
	}
	return fmt.Sprintf("at %g mm, %s", e.DistanceMM, e.Lamp)
}

func screenText(p plan.Plate) string {
	switch h := p.Halftone; {
	case h == nil && p.Rendering == "line":
		return "line"
	case h == nil:
		return "square dots"
	case h.ClusterUM > 0:
		return fmt.Sprintf("FM, clusters %.0f µm", h.ClusterUM)
	case h.LPI == 0:
		return fmt.Sprintf("FM %.0f µm", h.ActualDotUM)
	default:
		return fmt.Sprintf("%.1f lpi, %.1f°, %s", h.ActualLPI, h.ActualAngleDeg, h.Dot)
	}
}

// mixGrams is the ink to have ready: every print, the spoilage and what stays in the screen, up to the next 10 g.
func (r *run) mixGrams(p plan.Plate) int {
	prices := r.Plan.Input.Shop.Prices
	spoilage := prices.SpoilagePercent.InexactFloat64() / 100
	g := p.InkGrams*float64(r.Plan.Part.Pieces)*(1+spoilage) + prices.ScreenChargeG.InexactFloat64()
	return int(math.Ceil(g/10) * 10)
}

// thumbPX is the long side of a film's thumbnail: 34 mm at some 300 ppi.
const thumbPX = 400

// thumb is a plane as its film looks from afar: black where it prints, by area averaging.
func thumb(p *raster.Plane) *image.Gray {
	step := max(1, (max(p.Width, p.Height)+thumbPX-1)/thumbPX)
	w, h := max(1, p.Width/step), max(1, p.Height/step)
	across, down := min(step, p.Width), min(step, p.Height)
	t, columns := image.NewGray(image.Rect(0, 0, w, h)), raster.NewColumnSums(p.Width)
	for y := range h {
		sums := columns.Of(p, y*down, (y+1)*down)
		for x := range w {
			sum := uint32(0)
			for _, v := range sums[x*across : (x+1)*across] {
				sum += v
			}
			n := uint32(across * down)
			t.Pix[y*t.Stride+x] = 255 - uint8((sum+n/2)/n)
		}
	}
	return t
}
