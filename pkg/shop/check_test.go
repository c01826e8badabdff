package shop_test

import (
	"encoding/json"
	"strings"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/shop"
)

// fields lists what an error names, space between.
func fields(err error) string {
	if err == nil {
		return ""
	}
	var all []string
	for _, f := range fault.All(err) {
		all = append(all, f.Field)
	}
	return strings.Join(all, " ")
}

func TestADocumentsMissingFieldsAreNamedAndOptionalOnesAreNot(t *testing.T) {
	for _, c := range []struct{ data, want string }{
		{`{"meshes":[{"threads_per_cm":77,"thread_um":55,"color":"white","price_per_m2":"1"}]}`, ""},
		{`{"meshes":[{"threads_per_cm":77,"thread_um":55,"color":null,"price_per_m2":"1","fabric_um":null}]}`,
			"/meshes/0/color"},
		{`{"meshes":[{"threads_per_cm":77,"thread_um":55,"color":"white","price_per_m2":"1"},{}]}`,
			"/meshes/1/threads_per_cm /meshes/1/thread_um /meshes/1/color /meshes/1/price_per_m2"},
		{`{}`, "/meshes"},
	} {
		var d shop.Meshes
		if err := json.Unmarshal([]byte(c.data), &d); err != nil {
			t.Fatal(err)
		}
		if got := fields(shop.Whole([]byte(c.data), &d)); got != c.want {
			t.Errorf("%s: %q, want %q", c.data, got, c.want)
		}
	}
}

func TestEveryDocumentOfTheDefaultShopIsWhole(t *testing.T) {
	s := shop.Default()
	for _, document := range []any{&s.Profile, &s.Inks, &s.Meshes, &s.Devices, &s.Presses, &s.Prices} {
		data, err := json.Marshal(document)
		if err != nil {
			t.Fatal(err)
		}
		if got := fields(shop.Whole(data, document)); got != "" {
			t.Errorf("%T lacks %s", document, got)
		}
	}
}

func TestListsHaveAnEnd(t *testing.T) {
	s := shop.Default()
	for len(s.Inks.Inks) <= 200 {
		s.Inks.Inks = append(s.Inks.Inks, s.Inks.Inks[0])
	}
	if got := fields(s.Inks.Check()); !strings.HasPrefix(got, "/inks ") {
		t.Errorf("201 inks: %.60s", got)
	}
	s.Prices.BreakQuantities = make([]int, 21)
	s.Prices.Markups = make([]shop.Markup, 51)
	if got := fields(s.Prices.Check()); got != "/markups /break_quantities" {
		t.Errorf("%s", got)
	}
}

func TestTheSameFabricStandsOnce(t *testing.T) {
	d := shop.Default().Meshes
	dyed := d.Meshes[0]
	dyed.Color = "yellow"
	d.Meshes = append(d.Meshes, dyed)
	if err := d.Check(); err != nil {
		t.Errorf("the same count dyed is another fabric: %v", err)
	}
	d.Meshes = append(d.Meshes, dyed)
	if got := fields(d.Check()); got != "/meshes/12" {
		t.Errorf("named %q, want /meshes/12", got)
	}
}

func TestDefaultsOfTheProfileCannotBeTakenAway(t *testing.T) {
	s := shop.Default()
	s.Devices.Devices, s.Presses.Presses = s.Devices.Devices[1:], s.Presses.Presses[:1]
	if a, b := fields(s.KeepsDefaultDevice()), fields(s.KeepsDefaultPress()); a != "/devices" || b != "/presses" {
		t.Errorf("%q %q", a, b)
	}
	if got := fields(s.DefaultsStand()); got != "/default_device /default_press" {
		t.Errorf("%q", got)
	}
}
