package plan_test

import (
	"context"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"tamis/pkg/artwork"
	"tamis/pkg/plan"
	"tamis/testdata"
)

// workedPlan plans a demo picture on a black shirt.
func workedPlan(t *testing.T, art, extra string) *plan.Plan {
	t.Helper()
	data, err := testdata.Art.ReadFile("art/" + art)
	if err != nil {
		t.Fatal(err)
	}
	img, err := artwork.Decode(context.Background(), data, artwork.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	found, err := artwork.Inspect(context.Background(), img)
	if err != nil {
		t.Fatal(err)
	}
	return made(t, input(t, found, "#17181a", extra))
}

// workedRows are the rows of a worked order's table whose head begins with name: cells, trimmed.
func workedRows(t *testing.T, file, name string) (rows [][]string) {
	t.Helper()
	data, err := os.ReadFile("../../testdata/orders/" + file)
	if err != nil {
		t.Fatal(err)
	}
	inside := false
	for line := range strings.Lines(string(data)) {
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		switch {
		case !strings.HasPrefix(line, "|"):
			inside = false
		case cells[0] == name:
			inside = true
		case inside && cells[0] != "---":
			rows = append(rows, cells)
		}
	}
	if len(rows) == 0 {
		t.Fatalf("%s has no table of %ss", file, name)
	}
	return rows
}

// What a hand's figures may differ by. Coverage is the separation's, which may better itself without the arithmetic
// changing; grams follow from it to the rounding; ink lines and what adds them up move with it.
const (
	coverageTol   = 0.15
	coverageFloor = 0.03 // of the print: the least plates move most
	filmTol       = 0.02 // of the film's share of it, which follows from where its tones lie
	gramsTol      = 0.003
	inkTol        = 0.15
	totalTol      = 0.005
)

func within(got, want, tol float64) bool { return math.Abs(got-want) <= tol*want+1e-9 }

// TestTwoOrdersCostWhatAPencilGives compares the two worked orders of testdata/orders with their plans, line by line.
func TestTwoOrdersCostWhatAPencilGives(t *testing.T) {
	for file, p := range map[string]*plan.Plan{
		"left-chest.md": workedPlan(t, "bee-stencil.png",
			`,"print":{"width_mm":90,"placement":"left chest"},"separation":{"method":"spot","inks":["white"]}`),
		"simulated-process.md": workedPlan(t, "lantern-night.png",
			`,"print":{"width_mm":280},"separation":{"method":"simulated_process","max_screens":6,
				"inks":["white","golden-yellow","magenta","royal-blue","turquoise"]}`),
	} {
		checkWorkedPlates(t, file, p)
		checkWorkedLines(t, file, p)
	}
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func checkWorkedPlates(t *testing.T, file string, p *plan.Plan) {
	t.Helper()
	rows := workedRows(t, file, "plate")
	if len(rows) != len(p.Doc.Plates) {
		t.Fatalf("%s: %d plates by hand, %d planned", file, len(rows), len(p.Doc.Plates))
	}
	for i, r := range rows {
		plate := p.Doc.Plates[i]
		coverage, gramsPerFilm := number(t, r[1]), number(t, r[3])/number(t, r[2])
		if plate.Ink.ID != r[0] || !within(plate.Coverage, coverage, coverageTol+coverageFloor/coverage) {
			t.Errorf("%s: plate %d is %s covering %.4f, by hand %v", file, plate.N, plate.Ink.ID, plate.Coverage, r)
		}
		if !within(plate.FilmCoverage/plate.Coverage, number(t, r[2])/coverage, filmTol) {
			t.Errorf("%s: plate %d covers %.4f, its film %.4f, by hand %v", file, plate.N, plate.Coverage, plate.FilmCoverage, r)
		}
		if !within(plate.InkGrams/plate.FilmCoverage, gramsPerFilm, gramsTol+0.5e-4/number(t, r[2])+0.5e-4/number(t, r[3])) {
			t.Errorf("%s: plate %d takes %.5f g at %.5f, by hand %v", file, plate.N, plate.InkGrams, plate.FilmCoverage, r)
		}
	}
}

func checkWorkedLines(t *testing.T, file string, p *plan.Plan) {
	t.Helper()
	got := [][2]string{}
	for _, l := range p.Quote.Lines {
		got = append(got, [2]string{l.Code, l.Amount})
	}
	got = append(got, [2]string{"total", p.Quote.Total}, [2]string{"per_piece", p.Quote.PerPiece})
	rows := workedRows(t, file, "line")
	if len(rows) != len(got) {
		t.Fatalf("%s: %d lines by hand, quoted %v", file, len(rows), got)
	}
	for i, r := range rows {
		tol := 0.0
		switch r[0] {
		case "ink":
			tol = inkTol
		case "margin", "total", "per_piece":
			tol = totalTol
		case "rounding":
			tol = 2
		}
		if got[i][0] != r[0] || !within(number(t, got[i][1]), number(t, r[3]), tol) {
			t.Errorf("%s: quoted %v, by hand %v", file, got[i], r)
		}
	}
}
