package produce_test

import (
	"fmt"
	"math"
	"testing"

	"tamis/pkg/produce"
	"tamis/testdata"
)

// How far the plan's area may be from the films', as a share of it, beside areaLeft of the print: the digest knows no
// places, so how much of a border is trapped is estimated, and tones that blend at edges are means. Ours: the worst are
// 0.5 and 2.9 percent.
const (
	tonesTol   = 0.01
	trappedTol = 0.035
	areaLeft   = 0.001
)

// TestPlannedFilmAreaIsTheFilmsOwn makes films of every kind of screen and counts the bits in their print boxes, by
// another decoder: the plan, which has no pixels, must say as much.
func TestPlannedFilmAreaIsTheFilmsOwn(t *testing.T) {
	if testing.Short() {
		t.Skip("pixels by the million: the race detector's pass has shorter jobs with the same goroutines")
	}
	for _, r := range []struct {
		art, garment, ask string
		tol               float64
	}{
		{"lantern-night.png", "#17181a", `"separation":{"method":"simulated_process","max_screens":6}`, tonesTol},
		{"lantern-night.png", "#17181a", `"separation":{"method":"simulated_process","max_screens":4},"halftone":{"kind":"am"}`, tonesTol},
		{"lantern-night.png", "#ffffff", `"separation":{"method":"process"},"halftone":{"kind":"am","lpi":45}`, tonesTol},
		{"lantern-night.png", "#17181a", `"separation":{"method":"index","max_screens":5}`, tonesTol},
		{"orchard-fair.png", "#17181a", `"separation":{"method":"spot"}`, trappedTol},
		{"orchard-fair.png", "#ffffff", `"separation":{"method":"simulated_process","max_screens":4},"halftone":{"kind":"fm"}`, tonesTol},
		{"bee-stencil.png", "#17181a", `"separation":{"method":"spot","inks":["white"]}`, tonesTol},
		{"bee-stencil.png", "#ffffff", `"separation":{"method":"simulated_process","max_screens":3},"halftone":{"kind":"am"}`, tonesTol},
	} {
		in := areaInput(t, r.art, r.garment, r.ask)
		s := newShelf()
		result, err := produce.Run(t.Context(), in, s)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range result.Films {
			film, ink := readFilm(t, s.bytes[f.SHA256], f.PrintBox), 0
			for _, bit := range film.ink {
				ink += int(bit)
			}
			p, got := in.Plan.Doc.Plates[f.Plate-1], float64(ink)/float64(len(film.ink))
			t.Logf("%s on %s, %s: %s as %s covers %.4f, planned film %.4f, film %.4f (%+.1f %%)", r.art, r.garment, r.ask,
				p.Ink.ID, p.Role, p.Coverage, p.FilmCoverage, got, 100*(p.FilmCoverage/got-1))
			if math.Abs(p.FilmCoverage-got) > r.tol*got+areaLeft {
				t.Errorf("%s on %s, %s: the film of %s as %s inks %.4f of the print, planned %.4f (tolerance %g)", r.art,
					r.garment, r.ask, p.Ink.ID, p.Role, got, p.FilmCoverage, r.tol)
			}
		}
	}
}

// areaInput plans a demo picture, 140 mm wide.
func areaInput(t *testing.T, art, garment, ask string) produce.Input {
	t.Helper()
	data, err := testdata.Art.ReadFile("art/" + art)
	if err != nil {
		t.Fatal(err)
	}
	return planned(t, decoded(t, data), fmt.Appendf(nil, `{"artwork_id":"art_1","print":{"width_mm":140},"quantity":50,
		"garment":{"color":"%s","unit_cost":"3"},%s,
		"film":{"formats":["tiff"],"device":{"x_dpi":720,"y_dpi":720,"width_mm":330}}}`, garment, ask))
}
