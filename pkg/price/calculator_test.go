package price_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"os/exec"
	"slices"
	"testing"

	"tamis/pkg/price"
)

type object map[string]any

// asked writes a case as the second calculator reads it; money goes as strings.
func asked(b price.Book, t price.Take) object {
	markups, inks := []object{}, []object{}
	for _, m := range b.Markups {
		markups = append(markups, object{"from": m.From, "percent": m.Percent})
	}
	only := t.Prints[0]
	for _, i := range only.Inks {
		inks = append(inks, object{"grams": i.GramsPerPrint, "price_per_kg": i.PricePerKG})
	}
	return object{"book": object{"currency": b.Currency, "screen_setup": b.ScreenSetup, "screen_reclaim": b.ScreenReclaim,
		"emulsion_per_screen": b.EmulsionPerScreen, "film_per_m2": b.FilmPerM2, "labour_per_hour": b.LabourPerHour,
		"flash_per_print": b.FlashPerPrint, "spoilage_percent": b.SpoilagePercent, "screen_charge_g": b.ScreenChargeG,
		"rush_percent": b.RushPercent, "minimum": b.Minimum, "markups": markups},
		"order": object{"quantity": t.Quantity, "garment_cost": t.GarmentCost, "screens": only.Screens, "film_m2": only.FilmM2,
			"setup_min": only.SetupMin, "prints_per_hour": only.PrintsPerHour, "flashes": only.Flashes, "kept": only.Kept,
			"rush": t.Rush, "inks": inks}}
}

// answer is a quote as the second calculator gives it.
type answer struct {
	Lines    []string
	Total    string
	PerPiece string `json:"per_piece"`
}

func answered(b price.Book, q price.Quote) answer {
	places := price.MinorUnits(b.Currency)
	a := answer{Total: q.Total.StringFixed(places), PerPiece: q.PerPiece.StringFixed(places)}
	for _, l := range q.Lines {
		a.Lines = append(a.Lines, l.Code+" "+l.Amount.StringFixed(places))
	}
	return a
}

// TestASecondCalculatorGivesTheSameMoney compares 1,000 random books and orders, line by line, with python's decimal.
func TestASecondCalculatorGivesTheSameMoney(t *testing.T) {
	const cases = 1000
	var in bytes.Buffer
	var ours []answer
	for seed := range uint64(cases) {
		p := seeded(seed + 1<<32)
		b, take := p.book(), p.take()
		q, err := b.Quote(take)
		if err != nil {
			t.Fatal(err)
		}
		ours = append(ours, answered(b, q))
		if err := json.NewEncoder(&in).Encode(asked(b, take)); err != nil {
			t.Fatal(err)
		}
	}
	python := exec.CommandContext(t.Context(), "python3", "testdata/calculator.py")
	python.Stdin = &in
	out, err := python.Output()
	if err != nil {
		t.Fatalf("python3: %v", err)
	}
	rows := bufio.NewScanner(bytes.NewReader(out))
	n := 0
	for ; rows.Scan() && n < cases; n++ {
		var theirs answer
		if err := json.Unmarshal(rows.Bytes(), &theirs); err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(ours[n].Lines, theirs.Lines) || ours[n].Total != theirs.Total || ours[n].PerPiece != theirs.PerPiece {
			t.Errorf("case %d:\n  %v\n  second calculator:\n  %v", n, ours[n], theirs)
		}
	}
	if n != cases {
		t.Errorf("%d cases came back of %d", n, cases)
	}
}
