package ink

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"tamis/pkg/color"
)

// patch is one measured patch: coverages C M Y K 0..1 and its colour.
type patch struct {
	cmyk [4]float64
	lab  color.Lab
	xyz  color.XYZ
}

func fogra39(t *testing.T) []patch {
	t.Helper()
	data, err := os.ReadFile("/usr/share/color/icc/FOGRA39L.ti3")
	if err != nil {
		t.Fatalf("characterisation data of the Debian package icc-profiles-free: %v", err)
	}
	var list []patch
	for line := range strings.Lines(string(data)) {
		f := strings.Fields(line)
		if len(f) != 11 {
			continue
		}
		var v [10]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(f[i+1], 64); err != nil {
				break
			}
		}
		if err == nil {
			list = append(list, patch{
				[4]float64{
					v[0] / 100,
					v[1] / 100,
					v[2] / 100,
					v[3] / 100,
				}, color.Lab{L: v[7], A: v[8], B: v[9]},
				color.XYZ{X: v[4] / 100, Y: v[5] / 100, Z: v[6] / 100},
			})
		}
	}
	if len(list) != 1617 {
		t.Fatalf("%d patches read, the set has 1617", len(list))
	}
	return list
}

// TestSolidOverprintsOfOffsetInksArePredicted measures the channel basis on every solid overprint of two or more of
// cyan, magenta, yellow and black that is not itself an input. Over white is the ink on paper, over black the ink with
// the black solid: the nearest thing to a drawdown in the set.
func TestSolidOverprintsOfOffsetInksArePredicted(t *testing.T) {
	solids := map[[4]float64]color.Lab{}
	for _, p := range fogra39(t) {
		solids[p.cmyk] = p.xyz.Lab()
	}
	black := [4]float64{3: 1}
	inks := []Ink{{OverWhite: solids[black], OverBlack: solids[black]}}
	for i := range 3 {
		var alone [4]float64
		alone[i] = 1
		onBlack := alone
		onBlack[3] = 1
		inks = append(inks, Ink{OverWhite: solids[alone], OverBlack: solids[onBlack]})
	}
	stack := NewStack(inks, Cards{White: solids[[4]float64{}], Black: solids[black]}, solids[[4]float64{}])
	worst, sum, n := 0.0, 0.0, 0
	for cmyk, want := range solids {
		if c := cmyk[0] + cmyk[1] + cmyk[2]; !whole(cmyk) || c < 2 {
			continue
		}
		e := color.DeltaE00(stack.Predict([]float64{cmyk[3], cmyk[0], cmyk[1], cmyk[2]}), want)
		worst, sum, n = max(worst, e), sum+e, n+1
	}
	t.Logf(
		"FOGRA39L (icc-profiles-free), %d overprints: mean %.2f, worst %.2f CIEDE2000",
		n,
		sum/float64(n),
		worst,
	)
	if n != 8 || sum/float64(n) > 3.5 || worst > 7 {
		t.Errorf("%d overprints, mean %.2f (limit 3.5), worst %.2f (limit 7)", n, sum/float64(n), worst)
	}
}

func whole(cmyk [4]float64) bool {
	for _, v := range cmyk {
		if v != 0 && v != 1 {
			return false
		}
	}
	return true
}
