package film

import (
	"strings"
	"testing"
)

// TestRunCodesArePrefixFree: a word that began another could not be told from it. All of one colour's words are read in
// one place.
func TestRunCodesArePrefixFree(t *testing.T) {
	for colour, tables := range [2][2]string{{whiteTerminating(), whiteMakeUp()}, {blackTerminating(), blackMakeUp()}} {
		ends, makeUps := strings.Fields(tables[0]), strings.Fields(tables[1])
		if len(ends) != 64 || len(makeUps) != 40 {
			t.Errorf("colour %d has %d terminating and %d make-up codes, want 64 and 40 (T.4)", colour, len(ends), len(makeUps))
		}
		words := append(append([]string{}, ends...), makeUps...)
		for i, a := range words {
			for k, b := range words {
				if i != k && strings.HasPrefix(b, a) {
					t.Errorf("colour %d: code %d, %s, begins code %d, %s", colour, i, a, k, b)
				}
			}
		}
	}
}
