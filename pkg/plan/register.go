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
// two inks may open. Where nothing butts nothing is trapped, and nothing can open.
func (d *draft) register() error {
	r := d.registerOf()
	doc := Register{DeviceMM: r.DeviceMM, PressMM: r.PressMM, TotalMM: milli(r.TotalMM()), CoverMM: milli(r.CoverMM()),
		ButtJoints: d.Recipe.Butts(), Covered: true}
	if doc.ButtJoints {
		doc.TrapMM = milli(d.Recipe.TrapMM())
		doc.GapMM = milli(math.Max(0, r.TotalMM()-d.Recipe.TrapMM()))
		doc.Covered = doc.TrapMM >= doc.CoverMM
	}
	d.Doc.Register = doc
	if doc.Covered {
		return nil
	}
	d.Doc.Warnings = append(d.Doc.Warnings, Warning{Code: "trap_too_narrow",
		Message: fmt.Sprintf("films and press are expected to be %.2f mm off one another, %.2f mm at times; the trap of "+
			"%.2f mm does not cover it: joints of two inks may open", doc.TotalMM, doc.CoverMM, doc.TrapMM),
		Remedy: fmt.Sprintf("trap by %.2f mm, or use a film device and a press of better register", doc.CoverMM)})
	return nil
}
