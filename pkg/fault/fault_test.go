package fault_test

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"tamis/pkg/fault"
)

func Example() {
	err := fmt.Errorf("plate 2: %w", fault.Invalidf("/halftone/lpi", "lpi_too_fine", "%g lpi needs %d threads/cm",
		65.0, 90))
	f := fault.Of(err)
	fmt.Println(f.Code, f.Field, f.Msg)
	// Output: lpi_too_fine /halftone/lpi 65 lpi needs 90 threads/cm
}

func TestAForeignErrorIsOursAndKeepsItsCause(t *testing.T) {
	f := fault.Of(fmt.Errorf("reading: %w", io.ErrUnexpectedEOF))
	if f.Kind != fault.Internal || !errors.Is(f, io.ErrUnexpectedEOF) || strings.Contains(f.Msg, "EOF") {
		t.Errorf("%+v: a caller must not read the cause, a log must", f)
	}
	if fault.Is(nil, fault.Internal) {
		t.Error("no error is no fault")
	}
}

func TestAListIsFlatAndEmptyOnesAreNone(t *testing.T) {
	var inner, outer fault.List
	inner.Add(fault.Invalidf("/a", "a", "a"))
	inner.Add(fault.Invalidf("/b", "b", "b"))
	outer.Add(nil)
	outer.Add(inner.Err())
	outer.Add(io.EOF)
	if all := fault.All(outer.Err()); len(all) != 3 || all[1].Field != "/b" || all[2].Kind != fault.Internal {
		t.Errorf("%v", all)
	}
	if (fault.List{}).Err() != nil {
		t.Error("an empty list is an error")
	}
}

func TestTheCheckerNamesWhatCannotBe(t *testing.T) {
	c := &fault.Checker{}
	low := 0.5
	c.Between("/in", 3, 3, 4, " mm")
	c.Between("/nan", math.NaN(), 0, 1, "")
	c.Between("/out", 5, 0, 4, " mm")
	c.Optional("/none", nil, 1, 2, "")
	c.Optional("/low", &low, 1, 2, "")
	c.OneOf("/word", "x", "a", "b")
	c.Text("/long", "ééé", 2)
	c.Text("/control", "a\x00b", 9)
	c.Text("/broken", "a\xff", 9)
	c.Text("/turned", "a\u202eb", 9)
	c.Text("/fine", "čaj ☕ 🎽", 9)
	var got []string
	for _, f := range fault.All(c.Err()) {
		got = append(got, f.Field)
	}
	if want := "/nan /out /low /word /long /control /broken /turned"; strings.Join(got, " ") != want {
		t.Errorf("named %v, want %s", got, want)
	}
}
