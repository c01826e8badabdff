package plan

import (
	"fmt"
	"math"
	"strings"

	"tamis/pkg/halftone"
	"tamis/pkg/order"
	"tamis/pkg/shop"
	"tamis/pkg/tone"
)

// MeasuredCurve is a film device's or a press's tone curve as it was read: from tone to what is made of it, what the
// readings were read at, as far as that was said, and how far they scattered about the curve (a standard deviation, in
// area), which makes it Noisy from some figure on.
type MeasuredCurve struct {
	Curve     tone.Curve
	ReadAt    ReadAt
	Noisy     bool
	NoiseArea float64
}

// ReadAt is what a control strip was screened at and printed through; what was not said is nil or "". The mesh is a note:
// plates of one job stand on several.
type ReadAt struct {
	LPI          *float64 `json:"lpi,omitempty" example:"55"`
	Kind         string   `json:"kind,omitempty" enums:"am,fm,hybrid"`
	DotUM        *float64 `json:"dot_um,omitempty"`
	ThreadsPerCM *float64 `json:"threads_per_cm,omitempty"`
}

// CurveIDs names the measured tone curves of the device and the press that an order goes to, "" for none. An order that
// names neither rightly has none: the plan says so itself.
func CurveIDs(o order.Order, s shop.Snapshot) (film, press string) {
	d := &draft{Plan: &Plan{Input: Input{Order: o, Shop: s}}}
	if d.resolveDevice() == nil {
		film = d.device.CurveID
	}
	if d.resolvePress() == nil {
		press = d.press.CurveID
	}
	return film, press
}

// growthKey is what an assumed curve follows from: a ruling, or dots as the device draws them.
func growthKey(s *halftone.Spec) halftone.Spec {
	if s.Kind != halftone.FM {
		return halftone.Spec{FreqLPI: s.FreqLPI}
	}
	return halftone.Spec{Kind: s.Kind, DotUM: s.DotUM, ClusterUM: s.ClusterUM, XDPI: s.XDPI, YDPI: s.YDPI}
}

// toneCurve is what film device and press make of the tones on a plate's film, and what undoes it.
type toneCurve struct{ gain, undo tone.Curve }

// curveOf is the curve of a plate screened so: measured where film device and press were, else assumed for this ruling or
// these dots. A line plate, nil, has none.
func (d *draft) curveOf(s *halftone.Spec) toneCurve {
	if s == nil {
		return toneCurve{}
	}
	key := growthKey(s)
	if c, ok := d.curves[key]; ok {
		return c
	}
	film, press := d.Input.FilmCurve, d.Input.PressCurve
	if film == nil {
		film = &MeasuredCurve{Curve: s.Growth(tone.AssumedFilmGrowthUM)}
	}
	if press == nil {
		press = &MeasuredCurve{Curve: s.Growth(tone.AssumedPressGrowthUM)}
	}
	gain := tone.Compose(film.Curve, press.Curve)
	c := toneCurve{gain, gain.Inverse()}
	d.curves[key] = c
	return c
}

// toneCurves gives every plate its curve, and says what is doubtful about them.
func (d *draft) toneCurves() error {
	for _, s := range d.Specs {
		d.Gains = append(d.Gains, d.curveOf(s).gain)
	}
	d.Doc.AssumedCurves = d.Input.FilmCurve == nil || d.Input.PressCurve == nil
	if !d.anyHalftone() {
		return nil
	}
	if d.Doc.AssumedCurves {
		which := "tone curves of film and press are"
		switch {
		case d.Input.FilmCurve != nil:
			which = "the press's tone curve is"
		case d.Input.PressCurve != nil:
			which = "the film device's tone curve is"
		}
		d.warn(0, "assumed_curves", which+" assumed, not measured")
	}
	d.judge("the film device", d.Input.FilmCurve)
	d.judge("the press", d.Input.PressCurve)
	return nil
}

// judge warns where a curve was read from noisy readings, or from a strip screened otherwise than a plate is.
func (d *draft) judge(whose string, c *MeasuredCurve) {
	if c == nil {
		return
	}
	if c.Noisy {
		d.warn(0, NoisyCurve, NoisyMessage(whose, c.NoiseArea))
	}
	for _, p := range d.Doc.Plates {
		if p.Halftone == nil {
			continue
		}
		if off := c.ReadAt.unlike(*p.Halftone); off != "" {
			d.warn(p.N, "curve_read_elsewhere", fmt.Sprintf("the tone curve of %s was read at %s", whose, off))
		}
	}
}

// NoisyCurve is the code of the warning about a curve from noisy readings, on its calibration and on every plan with it.
const NoisyCurve = "noisy_curve"

// NoisyMessage says how noisy a curve's readings were.
func NoisyMessage(whose string, noiseArea float64) string {
	return fmt.Sprintf("the readings of %s scatter by %.1f %% of area about their tone curve: tones may be off by twice that",
		whose, 100*noiseArea)
}

// readNear is how far a plate's ruling or dot may be from the one a curve was read at. Ours: what edges add to a tone goes
// with the ruling, so 15 % of it are 15 % of the gain: 2 points of 14 at 50 %, what a press repeats to.
const readNear = 0.15

// unlike says at what a curve was read and how a plate is screened, where that is another kind of screen, or more than
// readNear away in ruling or size of dot; else "".
func (r ReadAt) unlike(h Halftone) string {
	var was, is []string
	compare := func(read *float64, have float64, unit string) {
		if read != nil && have > 0 && math.Abs(have / *read - 1) > readNear {
			was, is = append(was, fmt.Sprintf("%g %s", *read, unit)), append(is, fmt.Sprintf("%.4g %s", have, unit))
		}
	}
	if r.Kind != "" && r.Kind != h.Kind {
		was, is = append(was, r.Kind), append(is, h.Kind)
	}
	compare(r.LPI, h.LPI, "lpi")
	if h.Kind == string(halftone.FM) {
		compare(r.DotUM, max(h.DotUM, h.ClusterUM), "um")
	}
	if len(was) == 0 {
		return ""
	}
	return strings.Join(was, ", ") + "; this plate is screened at " + strings.Join(is, ", ")
}
