package shop

import (
	"fmt"
	"math"

	"tamis/pkg/stencil"
)

// Emulsion is what the shop coats its screens with: SolidsPct of it stay once dry, Coats are laid in all, and ExposureS
// are the times that harden it to the profile's target step through the profile's clear film. Assumes says what else
// those times hold for.
type Emulsion struct {
	ID        string    `json:"id"`
	Name      string    `json:"name"`
	SolidsPct float64   `json:"solids_pct"`
	Coats     int       `json:"coats"`
	ExposureS MeshTimes `json:"exposure_s"`
	Assumes   string    `json:"assumes,omitempty"`
}

// MeshTimes are exposures in seconds by the colour of the mesh.
type MeshTimes struct {
	White  float64 `json:"white"`
	Yellow float64 `json:"yellow"`
}

// Lamp is an exposure lamp: it stands DistanceMM from the screen; the emulsions' times were found TestedMM from it. Light
// is how much it gives of the light of the lamp they were found with, 1 for that lamp.
type Lamp struct {
	ID         string  `json:"id"`
	Name       string  `json:"name"`
	DistanceMM float64 `json:"distance_mm"`
	TestedMM   float64 `json:"tested_mm"`
	Light      float64 `json:"light"`
	Assumes    string  `json:"assumes,omitempty"`
}

// Factor is what the lamp makes of the emulsions' times: the inverse square of its distance, and its light.
func (l Lamp) Factor() float64 { return stencil.DistanceFactor(l.TestedMM, l.DistanceMM) / l.Light }

// Emulsion is the one that screens are coated with where nothing else is said; ok is false where none is named.
func (p Profile) Emulsion() (e Emulsion, ok bool) {
	for _, e := range p.Emulsions {
		if e.ID == p.DefaultEmulsion {
			return e, true
		}
	}
	return e, false
}

// Lamp is the one that screens are exposed with where nothing else is said; ok is false where none is named.
func (p Profile) Lamp() (l Lamp, ok bool) {
	for _, l := range p.Lamps {
		if l.ID == p.DefaultLamp {
			return l, true
		}
	}
	return l, false
}

// Unit gives the trade's exposure unit: the default emulsion under the default lamp, or the shop's own test alone.
func (p Profile) Unit() stencil.Lamp {
	e := p.Exposure
	unit := stencil.Lamp{ExposureS: e.ExposureS, TargetStep: e.TargetStep, RefDmin: e.FilmDmin,
		YellowFactor: e.YellowFactor}
	if own, ok := p.Emulsion(); ok {
		unit.ExposureS, unit.YellowFactor = own.ExposureS.White, own.ExposureS.Yellow/own.ExposureS.White
	}
	if lamp, ok := p.Lamp(); ok {
		unit.ExposureS *= lamp.Factor()
	}
	return unit
}

// Most emulsions and lamps of a shop, and the longest sentence on what their figures assume. Ours.
const (
	maxStencils = 20
	maxAssumes  = 200
)

// stencils checks the emulsions and lamps of a profile.
func (c *checker) stencils(p Profile) {
	if len(p.Emulsions) > maxStencils || len(p.Lamps) > maxStencils {
		c.Addf("/emulsions", "list_length", "%d emulsions and %d lamps; 0 to %d each can be", len(p.Emulsions), len(p.Lamps),
			maxStencils)
		return
	}
	seen := map[string]bool{}
	for n, e := range p.Emulsions {
		at := fmt.Sprintf("/emulsions/%d", n)
		c.id(at+"/id", e.ID, seen)
		c.name(at+"/name", e.Name)
		c.Between(at+"/solids_pct", e.SolidsPct, 5, 100, " percent")
		c.Between(at+"/coats", float64(e.Coats), 1, 12, "")
		c.Between(at+"/exposure_s/white", e.ExposureS.White, 0.1, 7200, " s")
		c.Between(at+"/exposure_s/yellow", e.ExposureS.Yellow, 0.1, 7200, " s")
		c.Text(at+"/assumes", e.Assumes, maxAssumes)
	}
	seen = map[string]bool{}
	for n, l := range p.Lamps {
		at := fmt.Sprintf("/lamps/%d", n)
		c.id(at+"/id", l.ID, seen)
		c.name(at+"/name", l.Name)
		c.Between(at+"/distance_mm", l.DistanceMM, 50, 10000, " mm")
		c.Between(at+"/tested_mm", l.TestedMM, 50, 10000, " mm")
		c.Between(at+"/light", l.Light, 0.01, 100, "")
		c.Text(at+"/assumes", l.Assumes, maxAssumes)
	}
	c.stencilDefaults(p)
}

// sameTime is how far apart two figures of one exposure may be. Ours: rounding to a tenth of a second.
const sameTime = 0.01

// stencilDefaults wants the defaults among the lists, and the shop's own test to say what the default emulsion says:
// else one of two figures would be without effect.
func (c *checker) stencilDefaults(p Profile) {
	if _, ok := p.Lamp(); !ok && p.DefaultLamp != "" {
		c.Addf("/default_lamp", "unknown_lamp", "there is no lamp %.60q among lamps", p.DefaultLamp)
	}
	e, ok := p.Emulsion()
	if !ok {
		if p.DefaultEmulsion != "" {
			c.Addf("/default_emulsion", "unknown_emulsion", "there is no emulsion %.60q among emulsions", p.DefaultEmulsion)
		}
		return
	}
	if math.Abs(p.Exposure.ExposureS/e.ExposureS.White-1) > sameTime {
		c.Addf("/exposure/exposure_s", "two_times", "%g s, where the emulsion %s has %g s on white mesh: change both, or name no "+
			"default_emulsion", p.Exposure.ExposureS, e.ID, e.ExposureS.White)
	}
	if dyed := e.ExposureS.Yellow / e.ExposureS.White; math.Abs(p.Exposure.YellowFactor/dyed-1) > sameTime {
		c.Addf("/exposure/yellow_factor", "two_times", "%g, where the emulsion %s has %.3g: change both, or name no "+
			"default_emulsion", p.Exposure.YellowFactor, e.ID, dyed)
	}
}

// defaultEmulsions are of the two kinds most in use. Practice: photopolymers expose in about a third of the time.
func defaultEmulsions() []Emulsion {
	return []Emulsion{
		{ID: "dual-cure", Name: "Dual-cure", SolidsPct: 38, Coats: 2, ExposureS: MeshTimes{White: 45, Yellow: 76.5},
			Assumes: "two coats, dried through; assumed, not tested: expose a wedge"},
		{ID: "photopolymer", Name: "Photopolymer", SolidsPct: 42, Coats: 2, ExposureS: MeshTimes{White: 15, Yellow: 25.5},
			Assumes: "two coats, dried through; assumed, not tested: expose a wedge"},
	}
}

func defaultLamps() []Lamp {
	return []Lamp{{ID: "point-lamp", Name: "Point lamp", DistanceMM: 1000, TestedMM: 1000, Light: 1,
		Assumes: "a lamp small against its distance, square over the screen"}}
}
