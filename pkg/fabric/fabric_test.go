package fabric_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tamis/pkg/fabric"
	"tamis/pkg/halftone"
)

func Example() {
	m := fabric.Mesh{ThreadsPerCM: 77, ThreadUM: 55}
	fmt.Printf("%.0f threads/in, opening %.1f um, %.1f cm3/m2\n", m.TPI(), m.OpeningUM(), m.InkVolumeCM3M2())
	// Output: 196 threads/in, opening 74.9 um, 28.3 cm3/m2
}

// TestGeometryGivesTheWorkedRows recomputes rows worked by a separate script with D = 1.55 d.
func TestGeometryGivesTheWorkedRows(t *testing.T) {
	for _, r := range []struct{ n, d, tpi, w, area, v float64 }{
		{32, 100, 81.3, 212.5, 46.2, 71.7}, {43, 80, 109.2, 152.6, 43.0, 53.4}, {54, 64, 137.2, 121.2, 42.8, 42.5},
		{61, 64, 154.9, 99.9, 37.2, 36.9}, {77, 55, 195.6, 74.9, 33.2, 28.3}, {90, 48, 228.6, 63.1, 32.3, 24.0},
		{120, 34, 304.8, 49.3, 35.0, 18.5}, {150, 31, 381.0, 35.7, 28.6, 13.8},
	} {
		m := fabric.Mesh{ThreadsPerCM: r.n, ThreadUM: r.d}
		for name, pair := range map[string][2]float64{"tpi": {m.TPI(), r.tpi}, "opening": {m.OpeningUM(), r.w},
			"open area": {100 * m.OpenArea(), r.area}, "volume": {m.InkVolumeCM3M2(), r.v}} {
			if math.Abs(pair[0]-pair[1]) > 0.1 {
				t.Errorf("%g-%g: %s %.2f, want %.1f within 0.1 (worked with D = 1.55 d)", r.n, r.d, name, pair[0], pair[1])
			}
		}
	}
}

// TestGeometryAgreesWithAPublishedSheet uses a weaver's data sheet for 90 threads/cm polyester: d, w, A, D, V.
func TestGeometryAgreesWithAPublishedSheet(t *testing.T) {
	for _, r := range [][5]float64{{40, 73, 42, 59, 25}, {48, 65, 33, 72, 24}, {54, 59, 27, 84, 23}} {
		m := fabric.Mesh{ThreadsPerCM: 90, ThreadUM: r[0], FabricUM: r[3]}
		if math.Abs(m.OpeningUM()-r[1]) > 2.5 {
			t.Errorf("d %g: opening %.1f, sheet %g within 2.5 um", r[0], m.OpeningUM(), r[1])
		}
		if math.Abs(m.InkVolumeCM3M2()-r[4]) > 2 {
			t.Errorf("d %g: volume %.1f, sheet %g within 2", r[0], m.InkVolumeCM3M2(), r[4])
		}
	}
}

// TestBeatPeriodsAreTheWorkedOnes checks |k f_h - m f_m| against values worked by a separate script, 0.1 %.
func TestBeatPeriodsAreTheWorkedOnes(t *testing.T) {
	for _, r := range []struct {
		lpi, angle, n float64
		k, m          [2]int
		period        float64
	}{
		{55, 0, 90, [2]int{4, 0}, [2]int{1, 0}, 2.953}, {55, 22.5, 90, [2]int{4, -1}, [2]int{1, 0}, 0.755},
		{45, 22.5, 61, [2]int{3, -1}, [2]int{1, 0}, 1.544}, {55, 22.5, 77, [2]int{3, -1}, [2]int{1, 0}, 1.004},
		{55, 0, 87, [2]int{4, 0}, [2]int{1, 0}, 25.92}, {45, 15, 71, [2]int{4, -1}, [2]int{1, 0}, 4.204},
		{65, 22.5, 120, [2]int{4, -1}, [2]int{1, 0}, 0.454},
	} {
		found := false
		for _, b := range round(r.lpi, r.angle).Beats(fabric.Mesh{ThreadsPerCM: r.n, ThreadUM: 40}, fabric.ViewMM, 10000) {
			if b.K == r.k && b.M == r.m {
				found = true
				if math.Abs(b.PeriodMM/r.period-1) > 0.001 {
					t.Errorf("%v: period %.4f, want %.3f", r, b.PeriodMM, r.period)
				}
			}
		}
		if !found {
			t.Errorf("%v: beat not listed", r)
		}
	}
}

// round is a screen of round dots at every tone.
func round(lpi, deg float64) fabric.Screen {
	return fabric.Screen{FreqLPI: lpi, AngleDeg: deg, Orders: fabric.PlateOrders(halftone.DotRound)}
}

func TestALockedPairIsSeenAsWorse(t *testing.T) {
	m := fabric.Mesh{ThreadsPerCM: 80, ThreadUM: 48}
	locked := round(50.8, 0).Worst(m, fabric.ViewMM).Visibility
	if free := round(50.8, 22.5).Worst(m, fabric.ViewMM).Visibility; free >= locked {
		t.Errorf("22.5 degrees %.4f, locked at 0 degrees %.4f", free, locked)
	}
}

func TestBeatsNeedNoHigherOrders(t *testing.T) {
	for _, n := range []float64{43, 54, 61, 77, 90, 120} {
		b := round(55, 22.5).Beats(fabric.Mesh{ThreadsPerCM: n, ThreadUM: 4000 / n}, fabric.ViewMM, 1)[0]
		if max(b.K[0], -b.K[0], b.K[1], -b.K[1]) == 12 || max(b.M[0], -b.M[0]) == 2 && max(b.M[1], -b.M[1]) == 2 {
			t.Errorf("%g threads/cm: the worst beat %v sits at the edge of the search", n, b)
		}
	}
}

func TestPicksFollowTheNeed(t *testing.T) {
	meshes := []fabric.Mesh{{ThreadsPerCM: 43, ThreadUM: 80}, {ThreadsPerCM: 61, ThreadUM: 64},
		{ThreadsPerCM: 77, ThreadUM: 55}, {ThreadsPerCM: 90, ThreadUM: 48}, {ThreadsPerCM: 120, ThreadUM: 34}}
	line := fabric.Rank(meshes, fabric.Need{Role: fabric.Underbase})[0]
	fine := fabric.Rank(meshes, fabric.Need{Role: fabric.Colour, FreqLPI: 55})[0]
	if line.Mesh.ThreadsPerCM >= fine.Mesh.ThreadsPerCM {
		t.Errorf("underbase on %g, 55 lpi on %g", line.Mesh.ThreadsPerCM, fine.Mesh.ThreadsPerCM)
	}
	if !fine.Fits() || fine.Mesh.Ratio(55) < 3.5 {
		t.Errorf("55 lpi on %g threads/cm breaks a rule: %+v", fine.Mesh.ThreadsPerCM, fine.Constraints)
	}
	if p := fabric.Rank(meshes, fabric.Need{Role: fabric.Colour, FreqLPI: 120})[0]; p.Fits() {
		t.Errorf("120 lpi fits %g threads/cm, ratio %.2f", p.Mesh.ThreadsPerCM, p.Mesh.Ratio(120))
	}
	if p := fabric.Rank(meshes, fabric.Need{Role: fabric.Colour, MaxParticleUM: 40})[0]; p.Mesh.LargestParticleUM() < 40 {
		t.Errorf("grains of 40 um through an opening of %.0f um", p.Mesh.OpeningUM())
	}
}

// TestScatteredDotsAreWeighedByTheirSizeAndHaveNoRuling: 90 um on 100 threads/cm of 40 um, which hold 140 um.
func TestScatteredDotsAreWeighedByTheirSizeAndHaveNoRuling(t *testing.T) {
	pick := fabric.Rank([]fabric.Mesh{{ThreadsPerCM: 100, ThreadUM: 40}}, fabric.Need{Role: fabric.Colour, MinDotUM: 90})[0]
	for _, c := range pick.Constraints {
		if strings.Contains(c.Why+c.Change, "lpi") || strings.Contains(c.Change, "%") || c.Code == "smallest_dot" &&
			!strings.Contains(c.Change, "140 um") || c.Code == "ink_deposit" && !c.OK {
			t.Errorf("%+v", c)
		}
	}
}
