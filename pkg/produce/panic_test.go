package produce_test

import (
	"os"
	"strings"
	"testing"

	"tamis/pkg/cores"
	"tamis/pkg/produce"
)

func TestAPanicInAPlatesGoroutineIsRaisedByRunAndTheNextRunIsWhole(t *testing.T) {
	in := input(t, picture(t, true), "")
	s := newShelf()
	s.before = func(name string) error {
		if strings.HasSuffix(name, ".tif") {
			panic("no room for " + name)
		}
		return nil
	}
	met := func() (met *cores.Panic) {
		defer func() { met = cores.PanicOf(recover()) }()
		_, err := produce.Run(t.Context(), in, s)
		t.Errorf("Run gave %v", err)
		return nil
	}()
	if met == nil || !strings.Contains(met.Error(), "no room for") || !strings.Contains(string(met.Stack), "(*run).film") {
		t.Fatalf("%+v", met)
	}
	if left, err := os.ReadDir(in.SpoolDir); err != nil || len(left) > 0 {
		t.Errorf("the spool still holds %v, %v", left, err)
	}
	s.before = nil
	if _, err := produce.Run(t.Context(), in, s); err != nil {
		t.Fatal(err)
	}
}
