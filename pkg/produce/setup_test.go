package produce_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"tamis/pkg/produce"
)

// TestTheSetupSheetIsADocumentToo reads setup.json back: it is listed, says what the plan says, and names films that
// stand.
func TestTheSetupSheetIsADocumentToo(t *testing.T) {
	in := input(t, picture(t, false), "")
	s := newShelf()
	result, err := produce.Run(t.Context(), in, s)
	if err != nil {
		t.Fatal(err)
	}
	listed := slices.ContainsFunc(result.Files, func(f produce.File) bool { return f.Name == "setup.json" })
	if result.SetupFacts != "setup.json" || !listed {
		t.Fatalf("setup.json is not in the result: %q, %v", result.SetupFacts, result.Files)
	}
	var got produce.Setup
	if err := json.Unmarshal(s.bytes[s.files["setup.json"].SHA256], &got); err != nil {
		t.Fatal(err)
	}
	if got.OrderRef != "A-1" || got.Address != "/v1/jobs?order_ref=A-1" || got.Quantity != 10 || got.TargetStep != 7 ||
		got.Print != in.Plan.Doc.Print || got.Placement != "front" || got.Cautions == "" ||
		len(got.Plates) != len(in.Plan.Doc.Plates) || len(got.Warnings) != len(result.Plan.Warnings) {
		t.Errorf("the document says %+v", got)
	}
	for i, p := range got.Plates {
		want := in.Plan.Doc.Plates[i]
		if _, made := s.files[p.FilmFile]; !made || p.Ink != want.Ink || p.ExposureS != want.ExposureS {
			t.Errorf("plate %+v", p)
		}
		all := p.InkGrams*10*1.02 + 40 // 10 pieces, 2 % spoilage and 40 g in the screen
		if float64(p.MixGrams) < all || float64(p.MixGrams) >= all+10 || p.MixGrams%10 != 0 {
			t.Errorf("plate %d: %d g to mix of %.2f", p.N, p.MixGrams, all)
		}
	}
}

// TestASheetLeadsToTheShopsSite: its code is followed by a telephone that knows no host, and is there for a reference too
// long for a code as well.
func TestASheetLeadsToTheShopsSite(t *testing.T) {
	for ref, want := range map[string]string{"A-1": "https://films.example/v1/jobs?order_ref=A-1", strings.Repeat("Łódź ", 18): "w012"} {
		in := input(t, picture(t, false), "")
		in.Plan.Input.Shop.Profile.Site, in.Plan.Input.Order.OrderRef = "https://films.example", ref
		s := newShelf()
		if _, err := produce.Run(t.Context(), in, s); err != nil {
			t.Fatal(err)
		}
		var got produce.Setup
		if err := json.Unmarshal(s.bytes[s.files["setup.json"].SHA256], &got); err != nil {
			t.Fatal(err)
		}
		if got.Address != want {
			t.Errorf("%q leads to %q, want %q", ref, got.Address, want)
		}
	}
}
