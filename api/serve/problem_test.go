package serve

import (
	"strings"
	"testing"

	"tamis/pkg/fault"
)

func TestEveryKindOfFaultHasAStatus(t *testing.T) {
	for _, k := range fault.Kinds {
		if statusOf[k] < 400 {
			t.Errorf("kind %d has no status", k)
		}
		if nameOf[k] == "" || !strings.Contains(string(docsPage), `id="problem-`+nameOf[k]+`"`) {
			t.Errorf("kind %d has no section in /docs", k)
		}
	}
}

func TestAllFaultsAreListedWithTheirPointers(t *testing.T) {
	p := problemOf(422, fault.List{fault.Invalidf("/a", "one", "first"), fault.Invalidf("/b/0", "two", "second")})
	if len(p.Errors) != 2 || p.Errors[1].Pointer != "#/b/0" || p.Pointer != "" || p.Detail != "first" {
		t.Errorf("%+v", p)
	}
}

func TestPreferencesAreReadAndUnknownOnesPassedOver(t *testing.T) {
	for header, want := range map[string]float64{"wait=10": 10, "respond-async, wait=5": 5, `Wait="3"`: 3, "wait=900": 60,
		"handling=lenient": 0, "wait=soon": 0, "": 0} {
		got, _ := preferredWait([]string{header})
		if got.Seconds() != want {
			t.Errorf("%q: %v", header, got)
		}
	}
}
