package order_test

import (
	"bytes"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/order"
)

func TestANestsDefaultsAreFilledAndReadBack(t *testing.T) {
	n, err := order.ParseNest([]byte(`{"jobs":["job_1"]}`))
	if err != nil {
		t.Fatal(err)
	}
	if n, err = n.Complete(); err != nil || *n.GapMM != 5 || !*n.CutMarks || !*n.Rotate || n.Formats[0] != "tiff" {
		t.Fatalf("%+v %v", n, err)
	}
	again, err := order.ParseNest(n.Canonical())
	if err != nil || !bytes.Equal(again.Canonical(), n.Canonical()) {
		t.Errorf("%s, %v", again.Canonical(), err)
	}
}

func TestEveryFieldOfANestThatCannotBeIsNamed(t *testing.T) {
	n, err := order.ParseNest([]byte(`{"jobs":["job_1","job_1"],"gap_mm":-1,"formats":["gif"],"lane":"fast",
		"device":{"x_dpi":10,"y_dpi":720,"width_mm":330}}`))
	if err != nil {
		t.Fatal(err)
	}
	_, err = n.Complete()
	got := map[string]bool{}
	for _, f := range fault.All(err) {
		got[f.Field] = f.Kind == fault.Invalid
	}
	for _, field := range []string{"/jobs/1", "/gap_mm", "/formats", "/lane", "/device/x_dpi"} {
		if !got[field] {
			t.Errorf("%s is not named", field)
		}
	}
	if _, err := (order.Nest{}).Complete(); fault.Of(err).Field != "/jobs" {
		t.Errorf("a nest of nothing: %v", err)
	}
}
