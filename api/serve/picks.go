package serve

import (
	"bytes"
	"context"
	"image/png"
	"math"
	"net/http"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fabric"
	"tamis/pkg/halftone"
	"tamis/pkg/library"
	"tamis/pkg/order"
	"tamis/pkg/shop"
)

// MeshPickRequest says what a plate asks of a mesh. Halftone null is line work.
type MeshPickRequest struct {
	Halftone      *PickHalftone `json:"halftone"`
	Role          string        `json:"role,omitempty" enums:"underbase,color,highlight,black" example:"color"`
	MinLineMM     *float64      `json:"min_line_mm,omitempty" example:"0.3"`
	MaxParticleUM *float64      `json:"max_particle_um,omitempty" example:"12"`
	Ink           string        `json:"ink,omitempty" example:"white"`
	ThreadsPerCM  []float64     `json:"threads_per_cm,omitempty"`
	ViewMM        *float64      `json:"view_mm,omitempty" example:"1000"`
	Against       *PickScreen   `json:"against,omitempty"`
	Picture       bool          `json:"picture,omitempty"`
}

// PickHalftone is the screen of the plate. A range left out stands still: the ruling given, angles from 0 to 90
// degrees.
type PickHalftone struct {
	Kind       string      `json:"kind,omitempty" enums:"am,hybrid,fm" example:"am"`
	LPI        *float64    `json:"lpi,omitempty" example:"55"`
	Dot        string      `json:"dot,omitempty" example:"round"`
	DotUM      *float64    `json:"dot_um,omitempty"`
	MinTone    *float64    `json:"min_tone,omitempty" example:"0.1"`
	Tone       *float64    `json:"tone,omitempty"`
	LPIRange   *[2]float64 `json:"lpi_range,omitempty"`
	AngleRange *[2]float64 `json:"angle_range,omitempty"`
}

// PickScreen is another plate's halftone, printed over or under this one.
type PickScreen struct {
	LPI      float64 `json:"lpi" example:"55"`
	AngleDeg float64 `json:"angle_deg" example:"52.5"`
}

// MeshPicks are the meshes, best first. Fits tells whether any meets every constraint; Advice says what to change where
// none does.
type MeshPicks struct {
	Fits    bool       `json:"fits"`
	Advice  []string   `json:"advice"`
	Picks   []MeshPick `json:"picks"`
	Picture []byte     `json:"picture_png,omitempty" swaggertype:"string" format:"byte"`
}

// MeshPick is one mesh with everything weighed, and the ruling and angle its threads show least.
type MeshPick struct {
	Mesh        PickMesh         `json:"mesh"`
	Score       float64          `json:"score" example:"0.93"`
	Fits        bool             `json:"fits"`
	LPI         float64          `json:"lpi,omitempty" example:"55"`
	AngleDeg    *float64         `json:"angle_deg,omitempty" example:"22.5"`
	Constraints []PickConstraint `json:"constraints"`
	Moire       []PickBeat       `json:"moire"`
	Between     []PickBeat       `json:"between,omitempty"`
}

// PickMesh is a mesh and what follows from it.
type PickMesh struct {
	ThreadsPerCM float64 `json:"threads_per_cm" example:"77"`
	ThreadUM     float64 `json:"thread_um" example:"55"`
	TPI          float64 `json:"tpi" example:"195.6"`
	OpeningUM    float64 `json:"opening_um" example:"74.9"`
	OpenArea     float64 `json:"open_area" example:"0.332"`
	FabricUM     float64 `json:"fabric_um" example:"85.3"`
	InkVolume    float64 `json:"ink_volume_cm3_m2" example:"28.3"`
	Color        string  `json:"color" enums:"white,yellow"`
}

// PickConstraint is one rule: the limit and the mesh's value in the same unit.
type PickConstraint struct {
	Code   string  `json:"code" enums:"mesh_to_ruling,smallest_dot,smallest_line,particle,ink_deposit,moire"`
	Limit  float64 `json:"limit"`
	Value  float64 `json:"value"`
	OK     bool    `json:"ok"`
	Why    string  `json:"why"`
	Change string  `json:"change,omitempty"`
}

// PickBeat is one beat k f_halftone - m f_mesh, or of two halftones. A pair that is locked has a period of 1000000 mm.
type PickBeat struct {
	K          [2]int  `json:"k"`
	M          [2]int  `json:"m"`
	PeriodMM   float64 `json:"period_mm"`
	AngleDeg   float64 `json:"angle_deg"`
	Visibility float64 `json:"visibility"`
}

// postMeshPick ranks meshes.
//
//	@Summary		Rank meshes for a plate
//	@Description	Every mesh of the shop, or of the `threads_per_cm` named, with every constraint: ruling against mesh, smallest dot (the highlight of `min_tone`, 0.1 when left out, at its ruling) and `min_line_mm` against two threads and an opening, the largest particle (`max_particle_um`, or that of the shop's `ink`) against a third of the opening, ink volume against what the `role` wants, moire. Where no mesh fits, `advice` says which constraint gives and what to change. `lpi` is the finest ruling of `lpi_range` (the ruling given when left out) that fits the mesh, or the one that breaks least; `angle_deg` the angle of `angle_range` (0 to 90 when left out; 0, 45 and 90 are kept off) whose worst beat is the least visible, half a degree of slip included. Beats follow from the dot's own harmonics: at `tone`, or at whichever tone shows each most. `visibility` is amplitude in coverage by the eye's contrast sensitivity (Mannos and Sakrison 1974) from `view_mm` on, 1000 when left out. `against` adds the beats with another plate's screen. `picture` adds a PNG, base64: the first pick's tint as it would look at its angle and at the worst one, and visibility against angle. Screens of kind fm have no grid and beat with nothing: they take `dot_um`, no ruling, angle or tone.
//	@Tags			decisions
//	@Accept			json
//	@Produce		json
//	@Param			need	body		MeshPickRequest	true	"what the plate needs"
//	@Success		200		{object}	MeshPicks
//	@Failure		400,413,415,422,503	{object}	Problem
//	@Router			/v1/mesh-picks [post]
func (a *api) postMeshPick(c *gin.Context) {
	body, err := jsonBody(c)
	if err != nil {
		fail(c, err)
		return
	}
	var r MeshPickRequest
	if err := order.DecodeStrict(body, &r); err != nil {
		fail(c, err)
		return
	}
	picks, err := a.meshPicks(c.Request.Context(), shopOf(c), r)
	if err != nil {
		fail(c, err)
		return
	}
	c.JSON(http.StatusOK, picks)
}

func (a *api) meshPicks(ctx context.Context, owner library.ShopID, r MeshPickRequest) (MeshPicks, error) {
	s, err := a.Library.Snapshot(ctx, owner)
	if err != nil {
		return MeshPicks{}, err
	}
	r.fill()
	meshes, err := r.check(s)
	if err != nil {
		return MeshPicks{}, err
	}
	if err := a.quotes.enter(ctx); err != nil { // a search takes some ten milliseconds a mesh and ruling
		return MeshPicks{}, err
	}
	defer a.quotes.leave()
	choices := fabric.Choose(meshes, r.ask(s))
	doc := MeshPicks{Advice: []string{}, Fits: choices[0].Fits()}
	for _, one := range choices {
		doc.Picks = append(doc.Picks, r.pick(one))
	}
	if !doc.Fits {
		for _, k := range choices[0].Constraints {
			if !k.OK {
				doc.Advice = append(doc.Advice, k.Why+": "+k.Change)
			}
		}
	}
	if r.Picture {
		doc.Picture, err = r.picture(choices[0])
	}
	return doc, err
}

// pictureTone is the tint a picture shows where no tone is asked for: dots apart, where moire shows well.
const pictureTone = 0.3

func (r MeshPickRequest) picture(one fabric.Choice) ([]byte, error) {
	v := fabric.View{Dot: halftone.Dot(r.Halftone.Dot), Tone: pictureTone, Mesh: one.Mesh, DistanceMM: *r.ViewMM,
		Screen: fabric.Screen{FreqLPI: one.LPI, AngleDeg: one.AngleDeg, Orders: r.orders()}}
	if r.Halftone.Tone != nil {
		v.Tone = *r.Halftone.Tone
	}
	var b bytes.Buffer
	err := png.Encode(&b, v.Picture())
	return b.Bytes(), err
}

// orders are the harmonics asked about: those of one tone, or of a plate that carries all.
func (r MeshPickRequest) orders() fabric.Orders {
	if r.Halftone.Tone != nil {
		return fabric.DotOrders(halftone.Dot(r.Halftone.Dot), *r.Halftone.Tone)
	}
	return fabric.PlateOrders(halftone.Dot(r.Halftone.Dot))
}

// ask turns a checked request into the trade's.
func (r MeshPickRequest) ask(s shop.Snapshot) fabric.Ask {
	a := fabric.Ask{Need: fabric.Need{Role: fabric.Role(r.Role)}, DistanceMM: *r.ViewMM}
	if r.MinLineMM != nil {
		a.Need.MinLineUM = 1000 * *r.MinLineMM
	}
	a.Need.MaxParticleUM = r.particleUM(s)
	h := r.Halftone
	switch {
	case h == nil:
	case h.Kind == string(halftone.FM):
		a.Need.MinDotUM = *h.DotUM
	default:
		orders := r.orders()
		a.Orders, a.Allowed = &orders, fabric.Allowed{LPI: *h.LPIRange, AngleDeg: *h.AngleRange}
		a.Need.FreqLPI = *h.LPI
		a.Need.MinDotUM = 25400 / *h.LPI * math.Sqrt(4**h.MinTone/math.Pi)
	}
	return a
}

func (r MeshPickRequest) particleUM(s shop.Snapshot) float64 {
	if r.MaxParticleUM != nil {
		return *r.MaxParticleUM
	}
	for _, i := range s.Inks.Inks {
		if i.ID == r.Ink {
			return i.MaxParticleUM
		}
	}
	return 0
}
