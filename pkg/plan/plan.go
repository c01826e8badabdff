package plan

import (
	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/fabric"
	"tamis/pkg/film"
	"tamis/pkg/halftone"
	"tamis/pkg/ink"
	"tamis/pkg/order"
	"tamis/pkg/press"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
	"tamis/pkg/tone"
)

// Engine is the version of everything that decides a byte of a film. It is part of what a result is addressed by: raise
// it with every change that changes films, so that a rolling deploy cannot mix.
const Engine = 4

// Input is what a plan is made from. Order must be complete (order.Complete); Shop must have passed its check.
// Output is the ICC profile the order names, nil for none. FilmCurve and PressCurve are the measured curves that
// CurveIDs names, from tone to what is made of it; nil where they are assumed. Tables may be nil: it only saves time.
type Input struct {
	Inspection *artwork.Inspection
	Order      order.Order
	Shop       shop.Snapshot
	Output     *color.Output
	FilmCurve  *tone.Curve
	PressCurve *tone.Curve
	Tables     *separate.Tables
}

// Plan is the whole print plan: the document callers see, the quote, and what produces the films.
// Specs has one entry a plate, nil for a line plate: Screen makes the screen. Gain is what film device and press make of a film's tones.
type Plan struct {
	Doc    Doc
	Quote  Quote
	Input  Input
	Recipe *separate.Recipe
	Layout *film.Layout
	Specs  []*halftone.Spec
	Gain   tone.Curve
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
	undo   tone.Curve              // of Gain
	beats  map[beatKey]fabric.Beat // reckoned so far
	recipe *separate.Recipe        // settled before; nil: the separation step chooses
}

// steps is the chain: each reads what those before it wrote.
var steps = []func(*draft) error{(*draft).resolve, (*draft).size, (*draft).separation, (*draft).page,
	(*draft).screening, (*draft).meshes, (*draft).atPress, (*draft).ignored, (*draft).priced,
	(*draft).layoutFindings, (*draft).lineFindings, (*draft).colorFindings, (*draft).gathered}

// New makes the plan. Faults are of kind Invalid and name the order's field. Deterministic; safe for concurrent use.
func New(in Input) (*Plan, error) {
	p, err := drawUp(in, nil)
	if err != nil || in.Order.Separation.MaxTotal == nil {
		return p, err
	}
	return p.within(in.Order.Separation.MaxTotal.Decimal)
}

// drawUp makes the plan with a recipe, or with the one that the order asks for.
func drawUp(in Input, recipe *separate.Recipe) (*Plan, error) {
	d := &draft{Plan: &Plan{Input: in}, recipe: recipe, beats: map[beatKey]fabric.Beat{}}
	d.Doc.Warnings = []Warning{}
	for _, step := range steps {
		if err := step(d); err != nil {
			return nil, err
		}
	}
	return d.Plan, nil
}
