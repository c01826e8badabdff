package shop_test

import (
	"bytes"
	"encoding/json"
	"reflect"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/shop"
)

// document is one of a shop's documents, as a fuzzer meets it.
type document interface{ Check() error }

// fresh gives an empty document of each kind.
func fresh() []document {
	return []document{&shop.Profile{}, &shop.Inks{}, &shop.Meshes{}, &shop.Devices{}, &shop.Presses{}, &shop.Prices{}}
}

// FuzzADocumentThatPassesReadsBackTheSame: whatever JSON comes, looking at it never is an internal fault, and what passes
// every check is written and read back to the same bytes, whole.
func FuzzADocumentThatPassesReadsBackTheSame(f *testing.F) {
	s := shop.Default()
	for _, d := range []any{s.Profile, s.Inks, s.Meshes, s.Devices, s.Presses, s.Prices} {
		data, err := json.Marshal(d)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
		f.Add(bytes.Replace(data, []byte(`"`), []byte(`null,"`), 1))
	}
	f.Add([]byte(`{"inks":[null,{}],"cards":{}}`))
	f.Add([]byte(`{"currency":"EUR","markups":[{"from":1e9,"percent":"0"}],"break_quantities":null}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, d := range fresh() {
			if json.Unmarshal(data, d) != nil {
				continue
			}
			whole, sound := shop.Whole(data, d), d.Check()
			if fault.Is(whole, fault.Internal) || fault.Is(sound, fault.Internal) {
				t.Fatalf("%T: %v, %v", d, whole, sound)
			}
			if whole == nil && sound == nil {
				readsBack(t, d)
			}
		}
	})
}

func readsBack(t *testing.T, d document) {
	t.Helper()
	first, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	again := reflect.New(reflect.TypeOf(d).Elem()).Interface().(document)
	if err := json.Unmarshal(first, again); err != nil {
		t.Fatal(err)
	}
	second, err := json.Marshal(again)
	if err != nil || !bytes.Equal(first, second) || shop.Whole(second, again) != nil || again.Check() != nil {
		t.Errorf("%T: %s became %s (%v)", d, first, second, err)
	}
}
