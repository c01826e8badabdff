package halftone

import "math"

// Dot names a spot function as PDF does, in lower case with underscores: the order in which a cell fills with ink.
type Dot string

// TurnDeg is the turn that leaves the dot's grid as it was, in degrees: 90 where both ways look alike, else 180.
func (d Dot) TurnDeg() float64 {
	switch d {
	case "", DotRound, DotRoundSquare, DotSquare, DotSimple, DotCosine, DotCross:
		return 90
	}
	return 180
}

// The dots a caller may ask for. DotRound is round in highlights, square at mid-tone, round holes in shadows;
// DotRoundSquare passes through the same shapes more softly: a mix of three. DotMix is the caller's own: Spec.Mix.
const (
	DotRound    Dot = "round"
	DotSimple   Dot = "simple"
	DotEllipse  Dot = "ellipse"
	DotDiamond  Dot = "diamond"
	DotSquare   Dot = "square"
	DotLine     Dot = "line"
	DotCosine   Dot = "cosine"
	DotCross    Dot = "cross"
	DotRhomboid Dot = "rhomboid"
	DotDouble   Dot = "double_dot"
	DotEllipseA Dot = "ellipse_a"
	DotEllipseB Dot = "ellipse_b"
	DotEllipseC Dot = "ellipse_c"

	DotRoundSquare Dot = "round_square"
	DotMix         Dot = "mix"
)

// Dots lists the dots that need nothing beside their name, the usual ones first.
func Dots() []Dot {
	return []Dot{DotRound, DotRoundSquare, DotEllipse, DotDiamond, DotSquare, DotLine, DotSimple, DotCosine, DotCross,
		DotRhomboid, DotDouble, DotEllipseA, DotEllipseB, DotEllipseC}
}

// Spot is the spot function at (x, y), both -1..1 with (0, 0) the cell's centre, and whether there is one:
// a mix has none of its own.
// Where it is larger, ink comes sooner; only the order matters.
//
// Source: ISO 32000-1:2008, 10.5.3 and Table 128.
func (d Dot) Spot(x, y float64) (f float64, known bool) {
	ax, ay := math.Abs(x), math.Abs(y)
	switch d {
	case DotRound:
		return roundSpot(ax, ay), true
	case DotSimple:
		return 1 - disc(ax, ay), true
	case DotEllipse:
		return ellipseSpot(ax, ay), true
	case DotDiamond:
		return diamondSpot(ax, ay), true
	case DotSquare:
		return -math.Max(ax, ay), true
	case DotLine:
		return -ay, true
	case DotCosine:
		return (math.Cos(math.Pi*x) + math.Cos(math.Pi*y)) / 2, true
	case DotCross:
		return -math.Min(ax, ay), true
	case DotRhomboid:
		return (float64(0.9*ax) + ay) / 2, true
	case DotDouble:
		return (math.Sin(2*math.Pi*x) + math.Sin(2*math.Pi*y)) / 2, true
	case DotEllipseA:
		return 1 - (float64(x*x) + float64(0.9*float64(y*y))), true
	case DotEllipseB:
		return 1 - math.Sqrt(float64(x*x)+float64(0.625*float64(y*y))), true
	case DotEllipseC:
		return 1 - (float64(0.9*float64(x*x)) + float64(y*y)), true
	}
	return 0, false
}

// disc is the squared distance from the centre.
func disc(ax, ay float64) float64 { return float64(ax*ax) + float64(ay*ay) }

func roundSpot(ax, ay float64) float64 {
	if ax+ay <= 1 {
		return 1 - disc(ax, ay)
	}
	return disc(ax-1, ay-1) - 1
}

func ellipseSpot(ax, ay float64) float64 {
	w := float64(3*ax) + float64(4*ay) - 3
	switch {
	case w < 0:
		return 1 - disc(ax, ay/0.75)/4
	case w > 1:
		return disc(1-ax, (1-ay)/0.75)/4 - 1
	}
	return 0.5 - w
}

func diamondSpot(ax, ay float64) float64 {
	switch {
	case ax+ay <= 0.75:
		return 1 - disc(ax, ay)
	case ax+ay <= 1.23:
		return 1 - (float64(0.85*ax) + ay)
	}
	return disc(ax-1, ay-1) - 1
}
