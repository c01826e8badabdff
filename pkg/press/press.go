// Package press reckons what happens at the press: which screens are flashed, whether they fit the press's stations,
// how much ink a plate takes, and what the squeegee should be.
//
// In go plates by role and coverage and a press's figures; out come flashes, stations, grams and advice. It knows no
// prices and draws nothing. Flash units and dryers burn, moving heads crush: the press's own manual comes first.
//
// Source of the ink formula: deposit times image area, as the trade literature states it; the rest is marked practice.
package press

import "tamis/pkg/fabric"

// Press is one machine. Transfer is the share of the mesh's theoretical ink volume that reaches the cloth, 0..1;
// RegisterMM the register it holds from print to print; SetupMinPerScreen the minutes to hang and register one screen.
type Press struct {
	Name              string
	Stations          int
	PrintsPerHour     float64
	SetupMinPerScreen float64
	RegisterMM        float64
	Transfer          float64
}

// Pass is one screen in press order, with what decides its flash.
type Pass struct {
	Role     fabric.Role
	Coverage float64
}

// heavyPass is the coverage from which a wet pass under another lifts off on the next screen's back.
// Practice: half the print area wet is where build-up starts to show.
const heavyPass = 0.5

// Flashes says after which pass the print is flashed. Practice: after an underbase, always; before a highlight white, so
// that it stands on dry ink; after any other heavy pass that is not the last. The last pass goes to the dryer.
func Flashes(passes []Pass) []bool {
	flash := make([]bool, len(passes))
	for i := 0; i+1 < len(passes); i++ {
		flash[i] = passes[i].Role == fabric.Underbase || passes[i+1].Role == fabric.Highlight ||
			passes[i].Coverage > heavyPass
	}
	return flash
}

// StationsNeeded counts the print positions: a flash takes one, and loading one more is the machine's own affair.
func StationsNeeded(flashes []bool) int {
	n := len(flashes)
	for _, f := range flashes {
		if f {
			n++
		}
	}
	return n
}

// Runs divides screens over runs of a press that has so many stations: how many screens each takes, in press order. flashes
// is as Flashes gives it; a press of no station is taken for one of one.
//
// Ours: each run takes what it holds, flashes between its screens included; its last screen's flash is the dryer's work,
// so there are never more runs than stations needed / stations, rounded up (TestRunsHoldEveryScreenOnTheStationsThereAre).
func Runs(flashes []bool, stations int) []int {
	var runs []int
	free := 0
	for i := range flashes {
		need := 1
		if i > 0 && flashes[i-1] {
			need = 2
		}
		if need > free {
			runs, free, need = append(runs, 0), max(1, stations), 1
		}
		free -= need
		runs[len(runs)-1]++
	}
	return runs
}

// InkGrams is the ink one print takes, in grams: coverage 0..1 of areaMM2, the mesh's theoretical volume in cm3/m2,
// transfer 0..1 and the ink's density in g/cm3.
func InkGrams(coverage, areaMM2, volumeCM3M2, transfer, densityGCM3 float64) float64 {
	return coverage * areaMM2 / 1e6 * volumeCM3M2 * transfer * densityGCM3
}

// Squeegee is the rubber and the stroke for a plate. Practice: softer and slower lays more ink, harder prints finer.
type Squeegee struct {
	HardnessShoreA int
	OffContactMM   float64
	Strokes        int
}

// SqueegeeFor picks rubber, off-contact and strokes. Practice: 60-65 Shore A for an underbase, 70 for line work, 75 for
// halftones; 1.5-3 mm off-contact, less on fine mesh.
func SqueegeeFor(role fabric.Role, halftone bool) Squeegee {
	switch {
	case role == fabric.Underbase && !halftone:
		return Squeegee{65, 3, 2}
	case role == fabric.Underbase:
		return Squeegee{70, 2.5, 1}
	case halftone:
		return Squeegee{75, 1.5, 1}
	}
	return Squeegee{70, 2.5, 1}
}
