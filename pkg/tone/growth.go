package tone

import "math"

// The assumed devices: what stands in until a shop has printed and read its own strip.
//
// Practice: no measured and citable gain of screen prints on cloth is to be had; printers speak of 10 to 20 points at
// 50 % for rulings of 45 to 55 lpi, as an eye or a densitometer sees them. Of those the light that spreads under the dots
// makes 11 (black on white, n of ink.Gain), and the print model has them; edges that grow by 5 um add 3 points at 55 lpi,
// 14 in all, so that an uncalibrated shop is helped rather than over-corrected. An inkjet film's edges grow by a few
// micrometres.
//
// A measured strip is read to match: areas by AreaYuleNielsen with n = ink.Gain, not by Murray and Davies, whose areas
// hold the spread of light a second time.
//
// What grows is the edge, in micrometres; what that makes of a tone is each screen's own (EdgeGrowth, ScatterGrowth): at
// 50 % the two together make 1.3 points at 15 lpi, 4.8 at 55 and 10.2 at 120. Say "assumed" wherever they are used.
const (
	AssumedPressGrowthUM = 5.0
	AssumedFilmGrowthUM  = 3.0
)

// EdgeGrowth is the tone curve of a process that moves every edge of a round dot outward by growthUM, at a ruling.
// A growth or a ruling that is not positive changes nothing.
//
// Up to 40 % the dots are discs, from 60 % the bare spots are; at 50 % squares meet at their corners (gain
// 2 sqrt(2) d/T), and the curve runs smoothly between. Source: constant growth of edges, as trade journals state it;
// the check values of the test are reckoned from the same geometry by hand.
func EdgeGrowth(freqLPI, growthUM float64) Curve {
	if !(freqLPI > 0) || !(growthUM > 0) {
		return Curve{}
	}
	d := growthUM * freqLPI / 25400 // in cells
	points := [][2]float64{{0, 0}}
	for a := 1; a <= 99; a++ {
		if a > 40 && a < 60 && a != 50 {
			continue
		}
		points = append(points, [2]float64{float64(a) / 100, grown(float64(a)/100, d)})
	}
	points = append(points, [2]float64{1, 1})
	for i := 1; i < len(points); i++ { // a growth of a quarter cell and more closes every hole
		points[i][1] = min(max(points[i][1], points[i-1][1]), 1)
	}
	c, err := FromPoints(points)
	if err != nil {
		panic("tone: " + err.Error()) // rising by construction
	}
	return c
}

// grown is the area of a tone a once its edges have moved by d cells.
func grown(a, d float64) float64 {
	switch {
	case a == 0.5:
		return 0.5 + 2*math.Sqrt2*d
	case a < 0.5:
		r := math.Sqrt(a/math.Pi) + d
		return math.Pi * r * r
	}
	hole := math.Max(0, math.Sqrt((1-a)/math.Pi)-d)
	return 1 - math.Pi*hole*hole
}

// ScatterGrowth is the tone curve of a process that moves every edge of scattered dots outward by growthUM: sizeUM is the
// side of a single dot, the diameter of a cluster or the width of a worm. What is not positive changes nothing.
//
// Ours: a share a of the area in marks of size s has edges of length 4 a / s while they stand apart, 4 (1 - a) / s where
// the bare spots do, and 1 / s as stripes of width s; 4 a (1 - a) / s is all three. An edge that moves by d adds its
// length times d, da/dd = 4 a (1 - a) / s, which is a logistic curve in 4 d / s. Growths add up exactly.
// halftone's TestAssumedGrowthIsWhatMovedEdgesMakeOfTheBits holds it.
func ScatterGrowth(sizeUM, growthUM float64) Curve {
	if !(sizeUM > 0) || !(growthUM > 0) {
		return Curve{}
	}
	k := math.Exp(float64(4*growthUM) / sizeUM)
	return fromFunc(func(a float64) float64 { return float64(k*a) / (1 - a + float64(k*a)) })
}
