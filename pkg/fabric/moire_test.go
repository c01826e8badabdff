package fabric_test

import (
	"fmt"
	"math"
	"testing"

	"tamis/pkg/fabric"
	"tamis/pkg/halftone"
)

const eyeMM = 1000

// pairs are twenty halftones on meshes: every usual ruling, dots of three shapes, light and dark.
// long: a table
func pairs() []pair {
	mesh := func(n, d float64) fabric.Mesh { return fabric.Mesh{ThreadsPerCM: n, ThreadUM: d} }
	return []pair{
		{55, 0, "round", 0.3, mesh(90, 48)}, {55, 22.5, "round", 0.3, mesh(90, 48)}, {45, 22.5, "round", 0.3, mesh(61, 64)},
		{55, 22.5, "round", 0.5, mesh(77, 55)}, {45, 15, "round", 0.2, mesh(71, 55)}, {65, 22.5, "round", 0.3, mesh(120, 34)},
		{30, 10, "round", 0.3, mesh(43, 80)}, {30, 30, "round", 0.5, mesh(54, 64)}, {35, 37, "ellipse", 0.4, mesh(61, 64)},
		{45, 45, "ellipse", 0.3, mesh(77, 55)}, {45, 7.5, "ellipse", 0.6, mesh(54, 64)},
		{50, 52.5, "diamond", 0.3, mesh(77, 55)},
		{55, 40, "diamond", 0.7, mesh(90, 48)}, {55, 63.5, "round", 0.3, mesh(54, 64)}, {60, 18, "round", 0.7, mesh(100, 40)},
		{65, 45, "round", 0.3, mesh(77, 55)}, {65, 75, "ellipse", 0.3, mesh(110, 40)}, {65, 31.5, "round", 0.2, mesh(90, 48)},
		{55, 37, "square", 0.3, mesh(100, 40)}, {45, 34.5, "round", 0.8, mesh(90, 48)},
	}
}

type pair struct {
	lpi, deg float64
	dot      halftone.Dot
	tone     float64
	mesh     fabric.Mesh
}

func (p pair) screen() fabric.Screen {
	return fabric.Screen{FreqLPI: p.lpi, AngleDeg: p.deg, Orders: fabric.DotOrders(p.dot, p.tone)}
}

// draw is the pair as the experiment makes it: 25 mm square. The step shares no multiple with any pitch, so that
// sampling makes no beats of its own.
func (p pair) draw() field {
	return draw(512, 0.04937, 5, newPatch(p.lpi, p.deg, p.dot, p.tone), holes(p.mesh))
}

// outcome is one pair as reckoned and as drawn.
type outcome struct{ total, worst, seen, energy float64 }

// TestBeatsAreThoseOfTheRasterisedPair finds each pair's most visible beat in a Fourier transform of the drawn pair:
// period within 2 %, direction within 1 degree, visibility within 20 % (a wave between two bins loses up to 18 % under
// the window). And of any two pairs whose beats together differ by half, the more visible ones have the more energy in
// the eye's band.
func TestBeatsAreThoseOfTheRasterisedPair(t *testing.T) {
	all := pairs()
	got := make([]outcome, len(all))
	t.Run("pair", func(t *testing.T) {
		for i, p := range all {
			t.Run(fmt.Sprintf("%g lpi at %g on %g", p.lpi, p.deg, p.mesh.ThreadsPerCM), func(t *testing.T) {
				t.Parallel()
				got[i] = compare(t, p)
			})
		}
	})
	compared := 0
	for i, a := range got {
		for j, b := range got {
			if a.total > 1.5*b.total {
				compared++
				if a.energy <= b.energy {
					t.Errorf("%+v is more visible than %+v and has less energy: %+v, %+v", all[i], all[j], a, b)
				}
			}
		}
	}
	if compared < 50 {
		t.Errorf("only %d pairs of pairs differ by half", compared)
	}
}

func compare(t *testing.T, p pair) outcome {
	beats := p.screen().Beats(p.mesh, eyeMM, 50)
	f, o := p.draw(), outcome{worst: p.screen().Worst(p.mesh, eyeMM).Visibility}
	s := f.spectrum()
	for _, b := range beats {
		o.total = math.Hypot(o.total, b.Visibility)
	}
	o.seen, o.energy = f.seen(s, eyeMM), f.energy(s, eyeMM)
	b := beats[0]
	sin, cos := math.Sincos(b.AngleDeg * math.Pi / 180)
	x, y := f.peakNear(s, cos/b.PeriodMM, sin/b.PeriodMM, 2)
	period, angle := 1/math.Hypot(x, y), math.Mod(math.Atan2(y, x)*180/math.Pi+360, 180)
	if math.Abs(period/b.PeriodMM-1) > 0.02 || math.Abs(math.Remainder(angle-b.AngleDeg, 180)) > 1 {
		t.Errorf("beat %+v; the drawn pair has %.4f mm at %.2f degrees", b, period, angle)
	}
	if math.Abs(o.worst-b.Visibility) > 1e-8 || o.seen < 0.8*o.worst || o.seen > 1.05*o.worst {
		t.Errorf("visibility %.4f (listed %.4f), drawn %.4f", o.worst, b.Visibility, o.seen)
	}
	return o
}

// TestTwoScreensBeatAsTheirRasterisedPair lays a second halftone where the mesh was: the same bounds.
func TestTwoScreensBeatAsTheirRasterisedPair(t *testing.T) {
	for _, p := range [][4]float64{{55, 22.5, 55, 52.5}, {55, 0, 50, 10}, {45, 15, 65, 45}, {55, 22.5, 55, 37.5}} {
		a := pair{lpi: p[0], deg: p[1], dot: "round", tone: 0.3}
		b := pair{lpi: p[2], deg: p[3], dot: "round", tone: 0.4}
		second := newPatch(b.lpi, b.deg, b.dot, b.tone)
		f := draw(512, 0.04937, 3, newPatch(a.lpi, a.deg, a.dot, a.tone), func(x, y, _ float64) float64 {
			if second.ink(x, y) {
				return 2
			}
			return 1
		})
		s, worst := f.spectrum(), a.screen().WorstBetween(b.screen(), eyeMM)
		sin, cos := math.Sincos(worst.AngleDeg * math.Pi / 180)
		x, y := f.peakNear(s, cos/worst.PeriodMM, sin/worst.PeriodMM, 2)
		angle := math.Mod(math.Atan2(y, x)*180/math.Pi+360, 180)
		if math.Abs(1/math.Hypot(x, y)/worst.PeriodMM-1) > 0.02 || math.Abs(math.Remainder(angle-worst.AngleDeg, 180)) > 1 {
			t.Errorf("%v: beat %+v; drawn %.4f mm at %.2f degrees", p, worst, 1/math.Hypot(x, y), angle)
		}
	}
}

// TestDotOrdersAreTheKnownTransforms: a square of side a has sinc amplitudes, a disc those of J1.
func TestDotOrdersAreTheKnownTransforms(t *testing.T) {
	square := fabric.DotOrders(halftone.DotSquare, 0.25)
	disc := fabric.DotOrders(halftone.DotSimple, 0.2)
	radius := math.Sqrt(0.2 / math.Pi)
	for k := 1; k <= 8; k++ {
		x := 2 * math.Pi * radius * float64(k)
		for name, pair := range map[string][2]float64{
			"square": {square.At(k, 0), math.Abs(0.5 * math.Sin(math.Pi*float64(k)/2) / (math.Pi * float64(k)))},
			"disc":   {disc.At(0, k), math.Abs(radius * math.J1(x) / float64(k))},
		} {
			if math.Abs(pair[0]-pair[1]) > 0.001 {
				t.Errorf("%s, order %d: %.5f, want %.5f within 0.001", name, k, pair[0], pair[1])
			}
		}
	}
	if tone := disc.At(0, 0); math.Abs(tone-0.2) > 0.0001 {
		t.Errorf("order 0 is %.5f, want the tone", tone)
	}
}

// TestTableOfAngles searches the best and the worst angle of a 30 % round dot for the usual rulings on every usual
// mesh, and has the drawn pair confirm each: at the best angle it has less energy in the eye's band. With -v it prints
// the table.
func TestTableOfAngles(t *testing.T) {
	orders := fabric.DotOrders(halftone.DotRound, 0.3)
	type line struct {
		lpi  float64
		mesh fabric.Mesh
		text string
	}
	var lines []*line
	for _, lpi := range []float64{30, 45, 55, 65} {
		for _, m := range [][2]float64{{43, 80}, {54, 64}, {61, 64}, {71, 55}, {77, 55}, {90, 48},
			{100, 40}, {110, 40}, {120, 34}, {140, 31}} {
			lines = append(lines, &line{lpi: lpi, mesh: fabric.Mesh{ThreadsPerCM: m[0], ThreadUM: m[1]}})
		}
	}
	t.Run("line", func(t *testing.T) {
		for _, l := range lines {
			t.Run(fmt.Sprintf("%g on %g", l.lpi, l.mesh.ThreadsPerCM), func(t *testing.T) {
				t.Parallel()
				plates := []fabric.Plate{{Orders: orders, Mesh: l.mesh}}
				best := fabric.Search(plates, fabric.Allowed{LPI: [2]float64{l.lpi, l.lpi}, AngleDeg: [2]float64{0, 90}}, eyeMM)
				worst, most := 0.0, 0.0
				for i, v := range fabric.Sweep(plates, l.lpi, eyeMM)[:181] {
					if v > most+1e-9 {
						worst, most = float64(i)/2, v
					}
				}
				low, high := drawn(l.lpi, best.AngleDeg, l.mesh), drawn(l.lpi, worst, l.mesh)
				l.text = fmt.Sprintf("%4g lpi %4g/cm  best %4.1f %.4f (drawn %.4f)  worst %4.1f %.4f (drawn %.4f)", l.lpi,
					l.mesh.ThreadsPerCM, best.AngleDeg, best.Visibility, low, worst, most, high)
				if low >= high {
					t.Error(l.text)
				}
			})
		}
	})
	for _, l := range lines {
		t.Log(l.text)
	}
}

// drawn is the strongest wave an eye sees in the drawn pair.
func drawn(lpi, deg float64, m fabric.Mesh) float64 {
	f := draw(512, 0.04937, 2, newPatch(lpi, deg, halftone.DotRound, 0.3), holes(m))
	return f.seen(f.spectrum(), eyeMM)
}
