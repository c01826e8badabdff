package ink

import (
	"testing"

	"tamis/pkg/color"
)

// spaces are the ways of mixing light that were tried.
func spaces() []channels {
	return []channels{
		matrix("XYZ", [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}),
		matrix("ROMM RGB", [3][3]float64{{1.3459433, -0.2556075, -0.0511118}, {-0.5445989, 1.5081673, 0.0205351},
			{0, 0, 1.2118128}}), // ISO 22028-2
		matrix("Rec. 2020", inverted([3][3]float64{{0.6734, 0.1656, 0.1251}, {0.2790, 0.6753, 0.0456},
			{-0.0019, 0.0300, 0.7969}})), // ITU-R BT.2020, Bradford to D50
		matrix("Bradford", [3][3]float64{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367},
			{0.0389, -0.0685, 1.0296}}), // ISO 15076-1 annex E
		matrix("AP1", inverted(fromChannels())),
		spectra(),
	}
}

// TestTheModelPredictsMeasuredPatches is the experiment that channels and Gain were chosen by: every patch of FOGRA39L,
// predicted from the single inks over paper and over black, or with every overprint measured.
func TestTheModelPredictsMeasuredPatches(t *testing.T) {
	list := characterised(t, "FOGRA39L", 1617)
	solids := solidsOf(list)
	t.Log("FOGRA39L (icc-profiles-free), 1617 patches, mean / 95th percentile CIEDE2000 by overprints:")
	for _, in := range spaces() {
		for _, n := range []float64{1, 1.5, 2, 2.5, 3} {
			var mean, p95 [3]float64
			for i, overprints := range [3][16][]float64{measured(solids, in, n), stacked(solids, in, n, 1),
				stacked(solids, in, n, n)} {
				mean[i], p95[i] = differences(list, newPress(list, in, n, overprints).predict)
			}
			t.Logf("%-9s n %.1f: measured %.2f / %.2f; predicted, solids affine in light %.2f / %.2f, in its root %.2f / %.2f",
				in.name, n, mean[0], p95[0], mean[1], p95[1], mean[2], p95[2])
			if in.name == "AP1" && n == Gain && (mean[0] > 1.05 || p95[0] > 2.15) {
				t.Errorf("measured overprints: %.2f / %.2f, limit 1.05 / 2.15", mean[0], p95[0])
			}
		}
	}
}

// offset is the product's own stack for a set, black printed first, and the tone curves of its inks.
func offset(list []patch) (*Stack, *press) {
	const black = 1 << 3
	solids := solidsOf(list)
	inks := []Ink{{OverWhite: solids[black].Lab(), OverBlack: solids[black].Lab()}}
	for i := range 3 {
		inks = append(inks, Ink{OverWhite: solids[1<<i].Lab(), OverBlack: solids[1<<i|black].Lab()})
	}
	in := matrix("AP1", inverted(fromChannels()))
	curves := newPress(list, in, Gain, stacked(solids, in, Gain, Gain))
	return NewStack(inks, Cards{White: solids[0].Lab(), Black: solids[black].Lab()}, solids[0].Lab()), curves
}

// TestTheStackPredictsOffsetOnEveryPaper holds the product's model against nine sets on coated, uncoated and newsprint
// papers. Over white is the ink on paper, over black the ink with the black solid: the nearest thing to a drawdown.
func TestTheStackPredictsOffsetOnEveryPaper(t *testing.T) {
	for _, row := range []struct {
		set       string
		patches   int
		mean, p95 float64 // limits, just above what was reached
	}{
		{"FOGRA39L", 1617, 1.65, 3.50}, // coated
		{"FOGRA28L", 1485, 1.55, 3.45}, // web offset on light coated
		{"FOGRA29L", 1485, 2.40, 5.00}, // uncoated white
		{"FOGRA30L", 1485, 3.00, 6.10}, // uncoated yellowish
		{"FOGRA40L", 1617, 2.05, 5.30}, // supercalendered
		{"TR002", 928, 3.30, 7.70},     // newsprint
		{"TR003", 1617, 1.90, 4.45},
		{"TR005", 1617, 1.50, 3.20},
		{"TR006", 1617, 2.00, 4.60},
	} {
		list := characterised(t, row.set, row.patches)
		stack, curves := offset(list)
		mean, p95 := differences(list, func(one patch) color.Lab {
			a := curves.areas(one.cmyk)
			return stack.Predict([]float64{a[3], a[0], a[1], a[2]})
		})
		t.Logf("%s (icc-profiles-free), %d patches: mean %.2f, 95th percentile %.2f CIEDE2000", row.set, row.patches,
			mean, p95)
		if mean > row.mean || p95 > row.p95 {
			t.Errorf("%s: %.2f / %.2f, limit %.2f / %.2f", row.set, mean, p95, row.mean, row.p95)
		}
	}
}

// TestTheStackIsTheModelOfTheExperiment ties the two together.
func TestTheStackIsTheModelOfTheExperiment(t *testing.T) {
	list := characterised(t, "FOGRA39L", 1617)
	stack, model := offset(list)
	for _, one := range list {
		a := model.areas(one.cmyk)
		if e := color.DeltaE00(stack.Predict([]float64{a[3], a[0], a[1], a[2]}), model.predict(one)); e > 1e-6 {
			t.Fatalf("%v: %g CIEDE2000 apart, tolerance 1e-6", one.cmyk, e)
		}
	}
}
