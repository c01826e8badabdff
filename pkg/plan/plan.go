package plan

import (
	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/film"
	"tamis/pkg/halftone"
	"tamis/pkg/ink"
	"tamis/pkg/order"
	"tamis/pkg/press"
	"tamis/pkg/price"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
	"tamis/pkg/tone"
)

// Engine is the version of everything that decides a byte of a film. It is part of what a result is addressed by: raise
// it with every change that changes films, so that a rolling deploy cannot mix.
const Engine = 9

// Input is what a plan is made from. Order must be complete (order.Complete) and of one print (order.One); Shop must have
// passed its check.
// Output is the ICC profile the order names, nil for none. FilmCurve and PressCurve are the measured curves that
// CurveIDs names; nil where they are assumed. Tables may be nil: it only saves time.
type Input struct {
	Inspection *artwork.Inspection
	Order      order.Order
	Shop       shop.Snapshot
	Output     *color.Output
	FilmCurve  *MeasuredCurve
	PressCurve *MeasuredCurve
	Tables     *separate.Tables
}

// Plan is the whole plan of a print: the document callers see, the quote of its order, and what produces the films.
// Specs has one entry a plate, nil for a line plate: Screens makes the screens. Gains are, for each plate, what film device and
// press make of its film's tones at its screen; a line plate's changes nothing.
type Plan struct {
	Doc    Doc
	Quote  Quote
	Input  Input
	Recipe *separate.Recipe
	Layout *film.Layout
	Specs  []*halftone.Spec
	Gains  []tone.Curve
	Part   Part
}

// draft is a plan under way, with what the steps hand to one another.
type draft struct {
	*Plan
	device shop.Device
	press  shop.Press
	model  press.Press
	inks   []ink.Ink
	cards  ink.Cards
	ground color.Lab
	pinned *shop.Mesh
	curves map[halftone.Spec]toneCurve // by growthKey
	lpi    float64                     // of the halftones, once their angles are settled
	recipe *separate.Recipe            // settled before; nil: the separation step chooses
	take   price.Print                 // what the print takes from the shop
	lower  []rungTake                  // what it takes on each rung of its ladder
	rungs  []Rung                      // the ladder, priced
}

// steps is the chain: each reads what those before it wrote. After it the order is priced, over all its prints.
var steps = []func(*draft) error{(*draft).resolve, (*draft).size, (*draft).separation, (*draft).page,
	(*draft).screening, (*draft).meshes, (*draft).toneCurves, (*draft).atPress, (*draft).register, (*draft).ignored,
	(*draft).layoutFindings, (*draft).lineFindings, (*draft).colorFindings, (*draft).gathered, (*draft).takes}

// New makes the plan of an order of one print. Faults are of kind Invalid and name the order's field. Deterministic; safe
// for concurrent use.
func New(in Input) (*Plan, error) {
	plans, err := All(in.Order, []Input{in})
	if err != nil {
		return nil, err
	}
	return plans[0], nil
}

func newDraft(in Input, recipe *separate.Recipe) *draft {
	d := &draft{Plan: &Plan{Input: in}, recipe: recipe, curves: map[halftone.Spec]toneCurve{}}
	d.Doc.Warnings = []Warning{}
	return d
}

// run takes the steps, up to the first that fails.
func (d *draft) run() error {
	for _, step := range steps {
		if err := step(d); err != nil {
			return err
		}
	}
	return nil
}
