package separate

import (
	"math"
	"reflect"
	"testing"
)

// TestTheBestChoiceIsFoundThoughOthersAreGivenUp compares with every choice tried to its end.
func TestTheBestChoiceIsFoundThoughOthersAreGivenUp(t *testing.T) {
	for _, garment := range []string{"#ffffff", "#17181a"} {
		req := withDefaults(request(t, garment))
		insp := inspected(t, noisy(120, 90))
		j := &job{insp: insp, req: req, targets: targetsOf(&insp.Digest, req.Ground)}
		l := j.newLadder(spotInks(req.Inks), whiteInk(req.Inks))
		now := choice{}
		for range 4 {
			trials := append(l.steps(now), l.swaps(now)...)
			want, least := choice{}, math.Inf(1)
			for _, c := range trials {
				sum := 0.0
				for i, e := range l.try(c, l.search, nil).errs {
					sum += float64(l.search[i].weight * seen(e))
				}
				if sum < least {
					want, least = c, sum
				}
			}
			got, score := l.best(trials, math.Inf(1))
			if !reflect.DeepEqual(got, want) || score != least {
				t.Fatalf("%s: %+v with %g, and tried to the end %+v with %g", garment, got, score, want, least)
			}
			if _, none := l.best(trials, math.Nextafter(least, 0)); !math.IsInf(none, 1) {
				t.Fatalf("%s: %g within less than the least", garment, none)
			}
			now = got
		}
	}
}
