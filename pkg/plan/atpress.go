package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tamis/pkg/fabric"
	"tamis/pkg/halftone"
	"tamis/pkg/press"
	"tamis/pkg/separate"
	"tamis/pkg/stencil"
)

// atPress counts flashes and stations, weighs the ink, sets squeegee and exposure.
func (d *draft) atPress() error {
	flashes := flashesOf(d.Recipe.Plates)
	areaMM2 := d.Doc.Print.WidthMM * d.Doc.Print.HeightMM
	d.exposure()
	unit := d.Input.Shop.Profile.Unit()
	for i := range d.Doc.Plates {
		p := &d.Doc.Plates[i]
		p.FlashAfter = flashes[i]
		p.FilmCoverage = d.filmCoverage(d.Recipe.Plates[i], d.Specs[i])
		d.bareFilm(*p)
		p.InkGrams = fine(press.InkGrams(p.FilmCoverage, areaMM2, p.Mesh.InkVolume, d.model.Transfer,
			d.Recipe.Plates[i].Ink.DensityGCM3))
		p.ExposureS = math.Round(unit.TimeS(d.device.Dmin, p.Mesh.Color == "yellow")*10) / 10
		s := press.SqueegeeFor(fabric.Role(p.Role), p.Halftone != nil)
		p.SqueegeeA, p.OffContactMM, p.Strokes = s.HardnessShoreA, s.OffContactMM, s.Strokes
		d.Doc.InkGramsPiece += p.InkGrams
	}
	d.Doc.InkGramsPiece = fine(d.Doc.InkGramsPiece)
	d.Doc.Press = PressPlan{ID: d.press.ID, Name: d.press.Name, Stations: d.press.Stations,
		StationsNeeded: press.StationsNeeded(flashes), Flashes: press.StationsNeeded(flashes) - len(flashes)}
	if runs := press.Runs(flashes, d.press.Stations); len(runs) > 1 {
		d.Doc.Press.Runs = runs
	}
	d.pressWarnings()
	return nil
}

// flashesOf says after which of a print's screens it is flashed.
func flashesOf(plates []separate.Plate) []bool {
	passes := make([]press.Pass, len(plates))
	for i, p := range plates {
		passes[i] = press.Pass{Role: fabric.Role(p.Role), Coverage: fine(p.Coverage)}
	}
	return press.Flashes(passes)
}

// Divided words which screens each run takes: "screens 1 to 5, then 6".
func (p PressPlan) Divided() string {
	words, first := make([]string, len(p.Runs)), 1
	for i, n := range p.Runs {
		words[i] = fmt.Sprint(first)
		if n > 1 {
			words[i] = fmt.Sprintf("%d to %d", first, first+n-1)
		}
		first += n
	}
	return "screens " + strings.Join(words, ", then ")
}

// bareShare is the share of a print under which a film is all but bare. Ours: 1 mm2 on 100 x 100 mm.
const bareShare = 0.0001

// bareFilm warns of a plate that the separation counted on and whose film is bare.
func (d *draft) bareFilm(p Plate) {
	if p.FilmCoverage >= bareShare || p.Coverage < bareShare || p.Halftone == nil {
		return
	}
	d.warn(p.N, "empty_plate", fmt.Sprintf("plate %d, %s: its film is all but bare, since nearly all its tones lie under the "+
		"least dot, %.2g %%, that %g threads/cm hold at %g lpi", p.N, p.Ink.Name, 100*p.Halftone.SmallestTone,
		p.Mesh.ThreadsPerCM, p.Halftone.LPI))
}

// filmCoverage is the share of the print box that a plate's film inks: its tones as its screen, nil for one that is cut,
// prints them with the compensation folded in.
//
// Ours: the stencil opens where the film is black, so ink follows the film, not the tones that its dots grow to.
// TestPlannedFilmAreaIsTheFilmsOwn counts the bits.
func (d *draft) filmCoverage(p separate.Plate, spec *halftone.Spec) float64 {
	if spec == nil {
		return fine(p.Coverage)
	}
	undo := d.curveOf(spec).undo
	return fine(p.Tones.Through(func(tone float64) float64 { return spec.Area(undo, tone) }))
}

func (d *draft) pressWarnings() {
	if p := d.Doc.Press; p.StationsNeeded > p.Stations {
		d.warn(0, "press_too_small", fmt.Sprintf("%d screens and %s need %d stations; %s has %d: priced as %d runs "+
			"over the press, %s, each with its set-up and a pass over all pieces", d.Doc.Screens, counted(p.Flashes, "flash", "flashes"),
			p.StationsNeeded, p.Name, p.Stations, len(p.Runs), p.Divided()))
	}
	unit := d.Input.Shop.Profile.Unit()
	for _, w := range slices.Concat(stencil.FactorWarnings(stencil.BaseFactor(unit.RefDmin, d.device.Dmin)),
		stencil.FilmWarnings(d.device.Dmin, d.device.Dmax, unit.TargetStep, stencil.WedgeStep)) {
		d.warn(0, w.Code, w.Message)
	}
}

func (d *draft) anyHalftone() bool {
	for _, p := range d.Doc.Plates {
		if p.Halftone != nil {
			return true
		}
	}
	return false
}
