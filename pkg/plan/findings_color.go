package plan

import (
	"fmt"
	"math"
	"slices"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/separate"
)

// Colours whose print is farther off than farTone are out of the inks' reach; a share of largeShare of the printed
// area is worth saying. CIEDE2000. Ours.
const (
	farTone    = 8.0
	largeShare = 0.05
)

// outOfGamut is the code of what the inks do not reach.
const outOfGamut = "out_of_gamut"

// colorFindings says what part of soft art the inks do not reach, and which colours of flat art could share a screen.
func (d *draft) colorFindings() error {
	if d.Recipe.Method == separate.Spot {
		d.nearDuplicates()
		return nil
	}
	if share, most := d.farShare(); share >= largeShare {
		d.Doc.Warnings = append(d.Doc.Warnings, Warning{Code: outOfGamut, Severity: string(artwork.Warning),
			Message: fmt.Sprintf("%.0f %% of the printed area is more than %g CIEDE2000 off with these inks, colours about %s "+
				"most of all", 100*share, farTone, most.Hex()), BoxesMM: d.cells(d.far)})
	}
	return nil
}

// farShare is the share of the printed area that prints far off, and the colour that counts most in it.
func (d *draft) farShare() (share float64, most color.RGB8) {
	far, all, worst := 0.0, 0.0, 0.0
	for _, b := range d.Input.Inspection.Digest.Bins {
		weight := float64(b.Share * b.Alpha)
		all += weight
		if !d.Far(b.Color(), b.Alpha) {
			continue
		}
		far += weight
		if off := float64(weight * d.Recipe.ErrorOf(b.Color())); off > worst {
			worst, most = off, b.Color()
		}
	}
	if all == 0 {
		return 0, most
	}
	return far / all, most
}

// Far tells whether a colour of the artwork of some alpha prints more than farTone off. Safe for concurrent use.
func (p *Plan) Far(rgb color.RGB8, alpha float64) bool {
	laid := Over(rgb, alpha, p.Recipe.Ground().RGB8())
	return p.Recipe.ErrorOf(laid) > farTone && !p.printsBlack(laid)
}

// Blacks. Ours: no ink is as dark as a screen's black, and nobody expects it; both must look black.
const (
	blackL      = 22.0
	blackChroma = 8.0
)

// printsBlack tells a black that prints as black, however much darker the artwork has it.
func (p *Plan) printsBlack(rgb color.RGB8) bool {
	for _, lab := range []color.Lab{rgb.Lab(), p.Recipe.PrintOf(rgb)} {
		if lab.L > blackL || math.Hypot(lab.A, lab.B) > blackChroma {
			return false
		}
	}
	return true
}

// Over lays a colour of some alpha, 0..1, over the garment, in codes, as programs that draw artwork do.
func Over(rgb color.RGB8, alpha float64, ground color.RGB8) color.RGB8 {
	mix := func(a, b uint8) uint8 { return uint8(float64(float64(a)*alpha) + float64(float64(b)*(1-alpha)) + 0.5) }
	return color.RGB8{R: mix(rgb.R, ground.R), G: mix(rgb.G, ground.G), B: mix(rgb.B, ground.B)}
}

// far tells the cells of the overview whose mean or whose most saturated colour prints far off.
func (d *draft) far(cell int) bool {
	o := &d.Input.Inspection.Overview
	mean, alpha := o.MeanColor(cell)
	return alpha > 0 && d.Far(mean, alpha) || alpha >= 0.5 && d.Far(o.VividColor(cell), 1)
}

// nearMatch is the difference of two flat colours, CIEDE2000, below which a screen of its own is hardly worth it.
// Practice: up to 4 or 5 passes as the same colour when not side by side.
const nearMatch = 5.0

// nearDuplicates says which two flat colours are so near that they could share a screen, and what that saves.
func (d *draft) nearDuplicates() {
	colors := d.Input.Inspection.Colors
	best, keep, rare := nearMatch, -1, -1
	for j := range colors {
		b, _ := color.ParseHex(colors[j].Hex) // an inspection names its colours well
		for i := range j {
			a, _ := color.ParseHex(colors[i].Hex)
			apart := color.DeltaE00(a.Lab(), b.Lab())
			if apart < best && color.DeltaE00(d.Recipe.PrintOf(a), d.Recipe.PrintOf(b)) > bareMatch/2 {
				best, keep, rare = apart, i, j
			}
		}
	}
	if rare < 0 {
		return
	}
	d.Doc.Warnings = append(d.Doc.Warnings, Warning{Code: nearDuplicate, Severity: string(artwork.Info),
		Message: fmt.Sprintf("%s and %s are %.1f CIEDE2000 apart and get different inks", colors[keep].Hex,
			colors[rare].Hex, best),
		Remedy:  "make them one colour in the artwork",
		BoxesMM: d.cells(d.ofColor(colors[rare].Hex))})
}

// nearDuplicate is the finding whose remedy says what it saves.
const nearDuplicate = "near_duplicate_colors"

// nearDuplicatesPriced adds to that finding what a screen less saves.
func (d *draft) nearDuplicatesPriced() {
	i := slices.IndexFunc(d.Doc.Warnings, func(w Warning) bool { return w.Code == nearDuplicate })
	if i < 0 {
		return
	}
	d.Doc.Warnings = slices.Clone(d.Doc.Warnings)
	d.Doc.Warnings[i].Remedy += ": " + d.savedScreen()
}

// savedScreen says what a screen less saves: by the ladder where it has that rung.
func (d *draft) savedScreen() string {
	for _, r := range d.rungs {
		if r.Screens == d.Doc.Screens-1 {
			return fmt.Sprintf("a screen less; about %s %s in place of %s", r.Total, d.Quote.Currency, d.Quote.Total)
		}
	}
	return fmt.Sprintf("a screen less, with %.0f minutes of setup", d.press.SetupMinPerScreen)
}
