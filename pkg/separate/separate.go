// Package separate turns artwork into plates: which inks, in which order, and where each prints.
//
// What goes in: an inspection's digest, the shop's inks, the garment. Choose makes a Recipe from those alone: method,
// inks, order, predicted coverage and match; a quote is that and no more. What comes out of the recipe's Apply on the
// decoded pixels: one tone plane a plate. The same digest always gives the same recipe, so films are those the quote
// counted.
//
// Spot art keeps its flat colours, gradients between them become dots of the same inks; tones are separated through a
// table that inverts the print model (ink), node by node; index gives each pixel one ink or none. Garments show where
// their own colour serves.
//
// It knows nothing of halftone dots, meshes, films or prices.
//
// Sources: the model is ink's; the inversion, the underbase from the model's need and the ladder are Ours, each shown
// by a test named at the function.
package separate

import (
	"context"
	"slices"

	"tamis/pkg/artwork"
	"tamis/pkg/color"
	"tamis/pkg/fault"
	"tamis/pkg/ink"
	"tamis/pkg/raster"
)

// Method is how artwork becomes plates.
type Method string

// The methods; Auto leaves the choice to the inspection.
const (
	Auto             Method = ""
	Spot             Method = "spot"
	Process          Method = "process"
	SimulatedProcess Method = "simulated_process"
	Index            Method = "index"
)

// Role is what a plate is for.
type Role string

// The roles.
const (
	Underbase Role = "underbase"
	Color     Role = "color"
	Highlight Role = "highlight"
	Black     Role = "black"
)

// Rendering is how a plate's tones become film: dots, or solid shapes cut at half coverage.
type Rendering string

// The renderings.
const (
	Halftone Rendering = "halftone"
	Line     Rendering = "line"
)

// UnderbaseMode is the caller's word on the underbase.
type UnderbaseMode string

// The modes: auto lets the print model decide. The empty mode is auto.
const (
	UnderbaseAuto UnderbaseMode = "auto"
	UnderbaseOn   UnderbaseMode = "on"
	UnderbaseOff  UnderbaseMode = "off"
)

// IndexDither is how an index print mixes its inks, square dot by square dot.
type IndexDither string

// The dithers: blue noise scatters evenly and has no pattern; diffusion keeps more of fine detail and has textures at
// even tones, such as a chessboard at a half.
const (
	BlueNoise IndexDither = "blue_noise"
	Diffusion IndexDither = "diffusion"
)

// MaxScreens is the most screens of one print: presses have no more stations to spare.
const MaxScreens = 12

// Request is what to print with and on.
type Request struct {
	Method        Method
	Inks          []ink.Ink // candidates: the shop's inks, or those the caller named
	Cards         ink.Cards // zero value: ink.DefaultCards
	Ground        color.Lab // the garment
	MaxScreens    int       // 0: as many as pay, at most MaxScreens
	MaxE00        float64   // mean CIEDE2000 to be met with as few screens as can; 0: none named
	Underbase     UnderbaseMode
	ChokeMM       float64 // how far the underbase stays behind the colour that covers it
	TrapMM        float64 // how far lighter colours reach under darker ones
	PrintWidthMM  float64
	PrintHeightMM float64
	IndexDPI      float64       // 0: indexDPI
	IndexDither   IndexDither   // empty: BlueNoise
	Output        *color.Output // ICC profile that process inks are taken from; nil: from the print model
	Tables        *Tables       // solved tables to take and to keep; nil: solve every time

	pick bool // the caller named no number of screens: take as many as pay
}

// Plate is one screen.
type Plate struct {
	Ink       ink.Ink
	Role      Role
	Rendering Rendering
	Nearest   bool     // its plane's pixels are square dots: enlarge without smoothing
	Coverage  float64  // predicted mean over the print box, 0..1
	Tones     Tones    // the same by tone
	Why       []string // sentences for the setup sheet
}

// Recipe is a separation decided: plates in press order and what they are predicted to give.
type Recipe struct {
	Method          Method
	Plates          []Plate
	MeanE00, P95E00 float64
	Rungs           []Rung // by rising screens; never worse with one more
	Rung            int    // which of them this is
	Findings        []artwork.Finding

	request  Request
	overlaps []float64 // [plate][plate], the later one first: see Overlap
	menu     *menu
	stack    *ink.Stack
	apply    applier
}

// applier makes the plates of a method. It is read only once the recipe stands.
type applier interface {
	separation(ctx context.Context, img *artwork.Image, progress func(done, total int)) (*Separation, error)
	printed(rgb color.RGB8, stack *ink.Stack) ink.Light
}

// Stack is the print model of the plates in press order on the garment.
func (r *Recipe) Stack() *ink.Stack { return r.stack }

// Overlap is how much of the print box the dots of two plates would cover in common, were they set dot on dot, beyond
// what chance lays on one another: 0 for plates that never meet or of which one is solid.
func (r *Recipe) Overlap(a, b int) float64 {
	if r.overlaps == nil || a == b {
		return 0
	}
	return r.overlaps[max(a, b)*len(r.Plates)+min(a, b)]
}

// Ground is the garment's colour.
func (r *Recipe) Ground() color.Lab { return r.request.Ground }

// TrapMM is how far plates reach under those that butt against them and print later.
func (r *Recipe) TrapMM() float64 { return r.request.TrapMM }

// Butts tells whether shapes of two inks are cut edge to edge, so that a register error opens the joint.
func (r *Recipe) Butts() bool {
	sp, cut := r.apply.(*spotter)
	return cut && sp.butts
}

// ChokeMM is how far the underbase stays behind the colours over it.
func (r *Recipe) ChokeMM() float64 { return r.request.ChokeMM }

// BaseUnderColour tells whether an underbase lies under other inks with edges to hold it back from. The squares of index
// prints are their own edges: nothing is held back there.
func (r *Recipe) BaseUnderColour() bool {
	base := slices.IndexFunc(r.Plates, func(p Plate) bool { return p.Role == Underbase })
	if base < 0 || r.Method == Index || len(r.Plates) == 1 {
		return false
	}
	sp, cut := r.apply.(*spotter)
	return !cut || slices.ContainsFunc(sp.looks, func(look []int) bool { return len(look) > 1 && slices.Contains(look, base) })
}

// Separation is artwork as plates.
type Separation struct {
	Planes   []*raster.Plane   // the tones, one a plate in order: see Apply
	Shapes   []*raster.Shape   // where each prints on film; a nil one: wherever its plane says
	Findings []artwork.Finding // what only the pixels could tell
}

// plain is a separation whose planes say all.
func plain(planes []*raster.Plane) *Separation {
	return &Separation{Planes: planes, Shapes: make([]*raster.Shape, len(planes))}
}

// Separate makes the plates of the decoded artwork, with the shapes that its flat colours are cut to.
// progress, where given, is called with what is done of how much, from one goroutine at a time. The picture may still be
// arriving: tones are separated row by row as they come, all else waits for the last.
func (r *Recipe) Separate(
	ctx context.Context,
	img *artwork.Image,
	progress func(done, total int),
) (*Separation, error) {
	if progress == nil {
		progress = func(int, int) {}
	}
	if err := ctx.Err(); err != nil {
		return nil, canceled(err)
	}
	if _, byRows := r.apply.(*tones); !byRows {
		if err := img.Whole(); err != nil {
			return nil, err
		}
	}
	return r.apply.separation(ctx, img, progress)
}

// Apply makes the planes, one a plate in order, at the artwork's resolution (index: at the index resolution). It is
// Separate for those who cut no film.
func (r *Recipe) Apply(
	ctx context.Context,
	img *artwork.Image,
	progress func(done, total int),
) ([]*raster.Plane, error) {
	s, err := r.Separate(ctx, img, progress)
	if err != nil {
		return nil, err
	}
	return s.Planes, nil
}

func canceled(err error) error {
	return fault.Wrap(err, fault.Canceled, "canceled", "the separation was cancelled")
}
