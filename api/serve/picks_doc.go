package serve

import (
	"fmt"
	"slices"

	"tamis/pkg/fabric"
	"tamis/pkg/fault"
	"tamis/pkg/halftone"
	"tamis/pkg/shop"
)

// Ranges of a mesh pick. Ours: what an order takes, and a search that ends within a second.
const (
	pickLeastLPI, pickMostLPI = 15, 120
	pickWidestLPI             = 20
	pickMostMeshes            = 100
)

// fill puts in what was left out.
func (r *MeshPickRequest) fill() {
	if r.Role == "" {
		r.Role = string(fabric.Colour)
	}
	set(&r.ViewMM, fabric.ViewMM)
	h := r.Halftone
	if h == nil {
		return
	}
	if h.Kind == "" {
		h.Kind = string(halftone.AM)
	}
	if h.Dot == "" {
		h.Dot = string(halftone.DotRound)
	}
	set(&h.MinTone, 0.1)
	if h.AngleRange == nil {
		h.AngleRange = &[2]float64{0, 90}
	}
	if h.LPIRange == nil && h.LPI != nil {
		h.LPIRange = &[2]float64{*h.LPI, *h.LPI}
	}
	if h.LPI == nil && h.LPIRange != nil {
		h.LPI = &h.LPIRange[1]
	}
}

func set(p **float64, value float64) {
	if *p == nil {
		*p = &value
	}
}

// check names every value that cannot be and gives the meshes asked about.
func (r MeshPickRequest) check(s shop.Snapshot) ([]fabric.Mesh, error) {
	c := &fault.Checker{}
	c.OneOf("/role", r.Role, "underbase", "color", "highlight", "black")
	c.Optional("/min_line_mm", r.MinLineMM, 0.01, 50, " mm")
	c.Optional("/max_particle_um", r.MaxParticleUM, 0, 500, " um")
	c.Optional("/view_mm", r.ViewMM, 100, 20000, " mm")
	if r.Ink != "" && !slices.ContainsFunc(s.Inks.Inks, func(i shop.Ink) bool { return i.ID == r.Ink }) {
		c.Addf("/ink", "unknown_ink", "there is no ink %.60q in /v1/shop/inks", r.Ink)
	}
	gridless := r.Halftone == nil || r.Halftone.Kind == string(halftone.FM)
	if r.Against != nil {
		c.Between("/against/lpi", r.Against.LPI, pickLeastLPI, pickMostLPI, " lpi")
		c.Between("/against/angle_deg", r.Against.AngleDeg, -360, 360, " degrees")
	}
	if gridless && (r.Against != nil || r.Picture) {
		c.Addf("/halftone", "no_grid", "only a halftone with a grid, am or hybrid, has beats to show")
	}
	r.Halftone.check(c)
	meshes := r.meshes(c, s)
	return meshes, c.Err()
}

func (h *PickHalftone) check(c *fault.Checker) {
	switch {
	case h == nil:
		return
	case h.Kind == string(halftone.FM):
		if h.DotUM == nil {
			c.Addf("/halftone/dot_um", "missing", "an fm screen is known by its dot: 5 to 1000 um can be")
		}
		c.Optional("/halftone/dot_um", h.DotUM, 5, 1000, " um")
		if h.LPI != nil {
			c.Addf("/halftone/lpi", "not_here", "%g lpi: an fm screen has no ruling; its dot_um says how fine it is", *h.LPI)
		}
		return
	}
	c.OneOf("/halftone/kind", h.Kind, "am", "hybrid", "fm")
	if !slices.Contains(halftone.Dots(), halftone.Dot(h.Dot)) {
		c.Addf("/halftone/dot", "dot_unknown", "%.40q is none of %q", h.Dot, halftone.Dots())
	}
	c.Optional("/halftone/min_tone", h.MinTone, 0.001, 0.5, "")
	c.Optional("/halftone/tone", h.Tone, 0.01, 0.99, "")
	c.Between("/halftone/angle_range/0", h.AngleRange[0], 0, 180, " degrees")
	c.Between("/halftone/angle_range/1", h.AngleRange[1], max(h.AngleRange[0], 0), 180, " degrees")
	if h.LPI == nil {
		c.Addf("/halftone/lpi", "missing", "a ruling is wanted, %d to %d lpi", pickLeastLPI, pickMostLPI)
		return
	}
	c.Between("/halftone/lpi", *h.LPI, pickLeastLPI, pickMostLPI, " lpi")
	if low := h.LPIRange[0]; h.LPIRange[1] != *h.LPI || low != *h.LPI {
		c.Between("/halftone/lpi_range/0", low, pickLeastLPI, pickMostLPI, " lpi")
		c.Between("/halftone/lpi_range/1", h.LPIRange[1], low, min(low+pickWidestLPI, pickMostLPI), " lpi")
	}
}

// meshes are the shop's, or those of the counts named.
func (r MeshPickRequest) meshes(c *fault.Checker, s shop.Snapshot) []fabric.Mesh {
	all := s.Meshes.Trade()
	if len(r.ThreadsPerCM) == 0 {
		return all
	}
	if len(r.ThreadsPerCM) > pickMostMeshes {
		c.Addf("/threads_per_cm", "list_length", "%d counts; %d can be", len(r.ThreadsPerCM), pickMostMeshes)
		return nil
	}
	var named []fabric.Mesh
	for i, count := range r.ThreadsPerCM {
		held := len(named)
		for _, m := range all {
			if m.ThreadsPerCM == count && !slices.Contains(named, m) {
				named = append(named, m)
			}
		}
		if len(named) == held {
			c.Addf(fmt.Sprintf("/threads_per_cm/%d", i), "unknown_mesh",
				"there is no mesh of %g threads/cm in /v1/shop/meshes, or it was named before", count)
		}
	}
	return named
}

// pick is the document of a choice.
func (r MeshPickRequest) pick(one fabric.Choice) MeshPick {
	m := one.Mesh
	p := MeshPick{Score: digits(one.Score), Fits: one.Fits(), LPI: digits(one.LPI), Moire: beatDocs(one.Beats),
		Mesh: PickMesh{ThreadsPerCM: m.ThreadsPerCM, ThreadUM: m.ThreadUM, TPI: digits(m.TPI()),
			OpeningUM: digits(m.OpeningUM()),
			OpenArea:  digits(m.OpenArea()), FabricUM: digits(m.ThicknessUM()), InkVolume: digits(m.InkVolumeCM3M2()), Color: "white"}}
	if m.Yellow {
		p.Mesh.Color = "yellow"
	}
	for _, k := range one.Constraints {
		p.Constraints = append(p.Constraints, PickConstraint{k.Code, digits(k.Limit), digits(k.Value), k.OK, k.Why, k.Change})
	}
	if one.LPI > 0 {
		p.AngleDeg = &one.AngleDeg
	}
	if r.Against != nil {
		orders := r.orders()
		mine := fabric.Screen{FreqLPI: one.LPI, AngleDeg: one.AngleDeg, Orders: orders}
		other := fabric.Screen{FreqLPI: r.Against.LPI, AngleDeg: r.Against.AngleDeg, Orders: orders}
		p.Between = beatDocs(mine.Between(other, *r.ViewMM, 5))
	}
	return p
}

func beatDocs(all []fabric.Beat) []PickBeat {
	docs := []PickBeat{}
	for _, b := range all {
		docs = append(docs, PickBeat{b.K, b.M, digits(min(b.PeriodMM, 1e6)), digits(b.AngleDeg), digits(b.Visibility)})
	}
	return docs
}
