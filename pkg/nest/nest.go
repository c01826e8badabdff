// Package nest lays films of several jobs on one roll or on sheets, and joins their pixels to the film that is cut up.
//
// In go the sizes of films in device pixels and the roll's width; out come places: on which sheet, where, turned or
// not, on the least length that a good many tries found. Then, a row at a time, the films themselves go in and the
// joined rows come out, cut marks between them, so that memory does not grow with the length of the nest.
// It refuses to know inks, plates and file formats: a film is a size and a source of rows, ink as 1.
//
// Sources: skyline packing after E. Burke, G. Kendall, G. Whitwell, "A new placement heuristic for the orthogonal
// stock-cutting problem", Operations Research 52 (2004); the tries over orders are ours.
package nest

import (
	"fmt"

	"tamis/pkg/fault"
)

// Size is a film's in device pixels.
type Size struct{ Width, Height int }

// Roll is what the films are laid on, in device pixels. Gap lies between films, Edge between them and the roll's edges.
type Roll struct {
	Width     int
	MaxLength int // of a sheet; 0: a roll without end
	GapX      int
	GapY      int
	EdgeX     int
	EdgeY     int
	Turn      bool // films may be turned by 90 degrees: only where pixels are square
}

// Place is where a film lies: on which sheet, from 0, and its top left corner.
type Place struct {
	Sheet, X, Y int
	Turned      bool // its top at the sheet's left
}

// Plan is a nest: a place for each film in the order given, and the length of each sheet.
type Plan struct {
	Places  []Place
	Lengths []int
}

// Length is what all sheets take.
func (p Plan) Length() int {
	sum := 0
	for _, l := range p.Lengths {
		sum += l
	}
	return sum
}

// Filled is the share of the sheets, cut to length, that films cover, 0..1.
func (p Plan) Filled(r Roll, films []Size) float64 {
	area := 0
	for _, f := range films {
		area += f.Width * f.Height
	}
	return float64(area) / float64(r.Width*p.Length())
}

// maxFilms bounds a nest. Ours: more fit no roll a shop hangs, and trying orders takes with the square of them.
const maxFilms = 400

// Pack finds places. The same films give the same places on any machine. A film that fits no way it may lie is
// fault.Invalid at /jobs, and its number is named from 1.
func Pack(r Roll, films []Size) (Plan, error) {
	if len(films) == 0 || len(films) > maxFilms {
		return Plan{}, fault.Invalidf("/jobs", "nest_films", "%d films; 1 to %d can be nested", len(films), maxFilms)
	}
	for i, f := range films {
		if !r.Holds(f) {
			return Plan{}, fault.Invalidf("/jobs", "nest_too_wide",
				"film %d of %d x %d px fits no sheet %d px wide%s; a wider device holds it", i+1, f.Width, f.Height,
				r.Width-2*r.EdgeX, r.atMost())
		}
	}
	return search(r, films), nil
}

// Holds tells whether a film fits an empty sheet, turned if it must and may be.
func (r Roll) Holds(f Size) bool {
	return r.holds(f.Width, f.Height) || r.Turn && r.holds(f.Height, f.Width)
}

func (r Roll) holds(width, height int) bool {
	return width <= r.Width-2*r.EdgeX && (r.MaxLength == 0 || height <= r.MaxLength-2*r.EdgeY)
}

func (r Roll) atMost() string {
	if r.MaxLength == 0 {
		return ""
	}
	return fmt.Sprintf(" and at most %d px long", r.MaxLength-2*r.EdgeY)
}
