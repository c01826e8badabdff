package plan_test

import (
	"strings"
	"testing"
)

// TestAMeshOfTooLittleOrTooMuchInkIsSaid: 15.4 cm3 a m2 on 140 threads/cm and 71.7 on 32, against 42 for an underbase and
// 34 for a colour, a factor of 1.6 either way.
func TestAMeshOfTooLittleOrTooMuchInkIsSaid(t *testing.T) {
	disk := inspected(t, true)
	for extra, want := range map[string]string{"": "", `,"mesh":{"threads_per_cm":140}`: "15.4 cm3",
		`,"mesh":{"threads_per_cm":32}`: "71.7 cm3"} {
		w := warned(made(t, input(t, disk, "#1f3a5f", extra)), "mesh_does_not_fit")
		if (w != nil) != (want != "") || w != nil && !strings.Contains(w.Message, want) {
			t.Errorf("%q: warned of %+v, want %q", extra, w, want)
		}
	}
}
