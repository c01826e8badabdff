package tone

import (
	"math"
	"testing"

	"tamis/pkg/fault"
)

func TestAreasMatchTheWorkedValues(t *testing.T) {
	const source = "worked from Murray (1936) and Yule-Nielsen (1951), to 0.01 %"
	for _, c := range []struct{ paper, tint, solid, n, want float64 }{
		{0, 0.30, 1.40, 1, 51.949}, {0, 0.30, 1.40, 1.5, 41.775}, {0, 0.30, 1.40, 1.7, 39.290},
		{0, 0.30, 1.40, 2, 36.485}, {0, 0.30, 1.40, 3, 31.231}, {0.08, 0.38, 1.48, 1, 51.949},
		{0.07, 0.50, 1.60, 1, 64.758}, {0.07, 0.50, 1.60, 1.5, 53.420}, {0.07, 0.50, 1.60, 1.7, 50.503},
		{0.07, 0.50, 1.60, 2, 47.145}, {0.07, 0.50, 1.60, 3, 40.682}, {0.04, 0.34, 4.00, 1, 49.887},
		{0.05, 0.77, 3.55, 1, 80.971},
	} {
		got, err := AreaYuleNielsen(c.paper, c.solid, c.tint, c.n)
		if err != nil || math.Abs(100*got-c.want) > 0.01 {
			t.Errorf("D %g %g %g, n %g: %.3f %%, %v; want %.3f, tolerance 0.01 (%s)",
				c.paper, c.tint, c.solid, c.n, 100*got, err, c.want, source)
		}
	}
}

func TestAreaRefusesWhatCannotBe(t *testing.T) {
	for _, c := range [][4]float64{{1, 1, 1, 1}, {1, 0.5, 0.7, 1}, {0, 1.4, 0.3, 0.5}, {0, 1.4, math.NaN(), 1}} {
		if _, err := AreaYuleNielsen(c[0], c[1], c[2], c[3]); !fault.Is(err, fault.Invalid) {
			t.Errorf("paper %g, solid %g, tint %g, n %g: %v, want an Invalid fault", c[0], c[1], c[2], c[3], err)
		}
	}
	if a, err := AreaMurrayDavies(0.05, 1.4, 0.02); a != 0 || err != nil {
		t.Errorf("a tint lighter than paper is area %g, %v; want 0", a, err)
	}
}

func TestEdgeGrowthMatchesTheWorkedValues(t *testing.T) {
	const source = "disc geometry worked by hand, to 0.01 points"
	c := EdgeGrowth(55, 10)
	for _, p := range [][2]float64{{5, 6.86}, {10, 12.57}, {20, 23.58}, {30, 34.35}, {50, 56.12}} {
		if got := 100 * c.At(p[0]/100); math.Abs(got-p[1]) > 0.01 {
			t.Errorf("%g %% grows to %.3f, want %.2f (%s)", p[0], got, p[1], source)
		}
	}
	for _, p := range [][2]float64{{35, 3.90}, {45, 5.01}, {55, 6.12}, {65, 7.24}} {
		if got := 100*EdgeGrowth(p[0], 10).At(0.5) - 50; math.Abs(got-p[1]) > 0.01 {
			t.Errorf("%g lpi gains %.3f at 50 %%, want %.2f (%s)", p[0], got, p[1], source)
		}
	}
}

// handbook is a measured film -> print curve published by a fabric weaver.
func handbook() [][2]float64 {
	percent := [][2]float64{{1, 0}, {6, 2}, {11, 7}, {17, 15}, {22, 22}, {32, 35}, {40, 44}, {47, 53}, {53, 59},
		{63, 76}, {69, 84}, {76, 89}, {83, 94}, {91, 98}, {99, 100}}
	for i := range percent {
		percent[i][0], percent[i][1] = percent[i][0]/100, percent[i][1]/100
	}
	return percent
}

func TestCurvePassesItsPointsAndNeverFalls(t *testing.T) {
	c, err := FromPoints(handbook())
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range handbook() {
		if got := c.At(p[0]); math.Abs(got-p[1]) > 0.0005 {
			t.Errorf("at %g: %g, want %g (tolerance 0.0005: a table step)", p[0], got, p[1])
		}
	}
	last := -1.0
	for x := 0.0; x <= 1; x += 1.0 / 65536 {
		if v := c.At(x); v < last {
			t.Fatalf("falls at %g", x)
		} else {
			last = v
		}
	}
}

func TestCompensationOfAMeasuredPressGivesTheAskedTone(t *testing.T) {
	press, err := FromPoints(handbook())
	if err != nil {
		t.Fatal(err)
	}
	film := EdgeGrowth(55, AssumedFilmGrowthUM)
	data := Compensation(film, press)
	for _, asked := range []float64{0.02, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.97} {
		if got := press.At(film.At(data.At(asked))); math.Abs(got-asked) > 0.002 {
			t.Errorf("asked %g, printed %.4f (tolerance 0.002)", asked, got)
		}
	}
	for _, c := range [][2]float64{{5, 9.00}, {10, 13.25}, {25, 24.31}, {50, 44.67}, {75, 62.41}} {
		if got := 100 * Compensation(Curve{}, press).At(c[0]/100); math.Abs(got-c[1]) > 0.8 {
			t.Errorf("to print %g the film has %.2f, straight lines through the points %.2f (tolerance 0.8: it is smooth)",
				c[0], got, c[1])
		}
	}
}

func TestCurvesThatCannotBeAreRefusedPointByPoint(t *testing.T) {
	_, err := FromPoints([][2]float64{{0, 0}, {0.5, 0.6}, {0.5, 0.7}, {0.7, 0.5}, {2, 1}})
	var fields []string
	for _, f := range fault.All(err) {
		fields = append(fields, f.Field)
	}
	if len(fields) != 3 || fields[0] != "/points/2" || fields[1] != "/points/3" || fields[2] != "/points/4" {
		t.Errorf("faults at %v, want points 2, 3 and 4", fields)
	}
	if _, err := FromPoints([][2]float64{{0.5, 0.5}}); err == nil {
		t.Error("one point made a curve")
	}
}

func TestZeroCurveIsTheIdentity(t *testing.T) {
	var c Curve
	if c.At(0.3) != 0.3 || c.At(-1) != 0 || c.At(2) != 1 || c.At(math.NaN()) != 0 {
		t.Error("the zero curve is not the identity held to 0..1")
	}
	if !Compose(c, c).Inverse().Identity() {
		t.Error("composing identities bends them")
	}
}

func TestAssumedEdgesGainWhatTheirCommentSaysAtEachRuling(t *testing.T) {
	for _, c := range [][2]float64{{15, 1.3}, {55, 4.8}, {120, 10.2}} {
		film, press := EdgeGrowth(c[0], AssumedFilmGrowthUM), EdgeGrowth(c[0], AssumedPressGrowthUM)
		if gain := 100*Compose(film, press).At(0.5) - 50; math.Abs(gain-c[1]) > 0.1 {
			t.Errorf("at %g lpi film and press gain %.2f points, their comment says %g (tolerance 0.1)", c[0], gain, c[1])
		}
	}
}

func TestScatteredDotsGainByTheirSize(t *testing.T) {
	for _, c := range []struct{ sizeUM, growthUM, tone, want float64 }{
		{100, 10, 0.5, 0.59869}, {100, 10, 0.1, 0.14219}, {200, 8, 0.5, 0.53992}, {100, 0, 0.3, 0.3}, {0, 10, 0.3, 0.3},
	} {
		if got := ScatterGrowth(c.sizeUM, c.growthUM).At(c.tone); math.Abs(got-c.want) > 1e-4 {
			t.Errorf("%g of %g um dots grown by %g um: %.5f, want %.5f (logistic worked by hand, tolerance 1e-4)", c.tone,
				c.sizeUM, c.growthUM, got, c.want)
		}
	}
	twice := Compose(ScatterGrowth(150, 3), ScatterGrowth(150, 5))
	if off := worst(twice, ScatterGrowth(150, 8)); off > 0.0005 {
		t.Errorf("3 um and then 5 um are %.5f of area off 8 um (tolerance 0.0005: table steps)", off)
	}
}
