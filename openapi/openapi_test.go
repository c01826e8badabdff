package openapi_test

import (
	"encoding/json"
	"os/exec"
	"testing"

	"tamis/openapi"
	"tamis/pkg/order"
)

// TestTheDescriptionIsNotStale generates the document again from the handlers' comments, validates it twice, and
// compares it with the committed one.
func TestTheDescriptionIsNotStale(t *testing.T) {
	cmd := exec.CommandContext(t.Context(), "go", "run", "-C", "gen", ".", "-check", "../..")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
}

func TestTheDescriptionSaysHowManyPrintsAnOrderMayHave(t *testing.T) {
	var doc struct {
		Components struct {
			Schemas map[string]struct {
				Properties map[string]struct{ MaxItems int }
			}
		}
	}
	if err := json.Unmarshal(openapi.Document, &doc); err != nil {
		t.Fatal(err)
	}
	if most := doc.Components.Schemas["order.Order"].Properties["prints"].MaxItems; most != order.MaxPrints {
		t.Errorf("%d prints described, %d taken", most, order.MaxPrints)
	}
}
