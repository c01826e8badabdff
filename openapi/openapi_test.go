package openapi_test

import (
	"os/exec"
	"testing"
)

// TestTheDescriptionIsNotStale generates the document again from the handlers' comments, validates it twice, and
// compares it with the committed one.
func TestTheDescriptionIsNotStale(t *testing.T) {
	cmd := exec.CommandContext(t.Context(), "go", "run", "-C", "gen", ".", "-check", "../..")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
}
