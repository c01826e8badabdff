package plan

import (
	"fmt"
	"math"

	"tamis/pkg/press"
)

// registerOf is what the films' device and the press are known to hold.
func (d *draft) registerOf() press.Register {
	return press.Register{DeviceMM: d.device.RegisterMM, PressMM: d.press.RegisterMM}
}

// register sets the register budget: what to expect, what covers it, and what the plates have; and warns where joints of
// two inks may open or an underbase may peep out. Where nothing butts nothing is trapped, and nothing can open.
func (d *draft) register() error {
	r := d.registerOf()
	doc := Register{DeviceMM: r.DeviceMM, PressMM: r.PressMM, TotalMM: milli(r.TotalMM()), CoverMM: milli(r.CoverMM()),
		ButtJoints: d.Recipe.Butts(), Based: d.Recipe.BaseUnderColour(), Covered: true}
	if doc.ButtJoints {
		doc.TrapMM = milli(d.Recipe.TrapMM())
		doc.GapMM = milli(math.Max(0, r.TotalMM()-d.Recipe.TrapMM()))
		if doc.TrapMM < doc.CoverMM {
			doc.Covered = false
			d.tooNarrow(doc, "trap", doc.TrapMM, "joints of two inks may open")
		}
	}
	if doc.Based {
		doc.ChokeMM = milli(d.Recipe.ChokeMM())
		if doc.ChokeMM < doc.CoverMM {
			doc.Covered = false
			d.tooNarrow(doc, "choke", doc.ChokeMM, "the underbase may peep out beside the colours over it")
		}
	}
	d.Doc.Register = doc
	return nil
}

// tooNarrow warns of a trap or a choke that does not cover the register.
func (d *draft) tooNarrow(r Register, what string, hasMM float64, so string) {
	coverMM := math.Ceil(math.Round(r.CoverMM*1e5)/1e3) / 100 // up to the hundredth: less would cover less
	d.Doc.Warnings = append(d.Doc.Warnings, Warning{Code: what + "_too_narrow",
		Message: fmt.Sprintf("films and press are expected to be %.2f mm off one another, %.2f mm at times; the %s of "+
			"%.2f mm does not cover it: %s", r.TotalMM, coverMM, what, hasMM, so),
		Remedy: fmt.Sprintf("%s by %.2f mm, or use a film device and a press of better register", what, coverMM)})
}
