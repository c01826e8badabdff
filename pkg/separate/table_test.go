package separate

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"tamis/pkg/color"
	"tamis/pkg/ink"
)

// layersNamed arranges inks of the test shop, with the white as underbase where based.
func layersNamed(t testing.TB, based bool, ids ...string) layers {
	var list []ink.Ink
	for _, id := range ids {
		list = append(list, inkNamed(t, id))
	}
	if !based {
		return arrange(list, nil, nil)
	}
	white := inkNamed(t, "white")
	return arrange(list, &white, nil)
}

func tableFor(t testing.TB, ly layers, garment string) (*ink.Stack, *table) {
	stack := ink.NewStack(ly.inks, ink.DefaultCards(), hex(t, garment).Lab())
	return stack, buildTable(stack, ly.cost, ly.base, hex(t, garment).Lab().RGB8())
}

func TestColoursOfRandomCoveragesComeBack(t *testing.T) {
	rows := []struct {
		garment string
		base    bool
		ids     []string
	}{
		{"#ffffff", false, []string{"red", "lemon", "green", "royal"}},
		{"#ffffff", false, []string{"red", "orange", "lemon", "green", "sky", "royal", "magenta", "black"}},
		{"#808080", true, []string{"red", "lemon", "royal"}},
		{"#808080", true, []string{"red", "orange", "lemon", "green", "sky", "royal", "magenta"}},
		{"#17181a", true, []string{"red", "lemon", "royal"}},
		{"#17181a", true, []string{"red", "orange", "lemon", "green", "sky", "royal", "magenta"}},
	}
	for _, r := range rows {
		errs := roundTrip(t, layersNamed(t, r.base, r.ids...), r.garment)
		mean, p95 := match(evenly(errs), errs)
		t.Logf("%s, %d inks: %d colours, mean %.2f p95 %.2f CIEDE2000", r.garment, len(r.ids), len(errs), mean, p95)
		if mean > 0.5 || p95 > 1.5 || len(errs) < 500 {
			t.Errorf("%s, %v: mean %.2f (limit 0.5) p95 %.2f (limit 1.5) of %d colours", r.garment, r.ids, mean, p95,
				len(errs))
		}
	}
}

// roundTrip prints random coverages by the model, separates the colours and gives how far their prints are off.
func roundTrip(t *testing.T, ly layers, garment string) (errs []float64) {
	stack, tb := tableFor(t, ly, garment)
	l := newLookup(tb)
	rng := rand.New(rand.NewPCG(1, 2))
	cov := make([]float64, stack.Len())
	for range 2000 {
		total := 0.0
		for i := range cov {
			cov[i] = math.Max(0, rng.Float64()*1.6-0.6)
			total += cov[i]
		}
		rgb := stack.Predict(cov).RGB8()
		if total > inkLimit || color.DeltaE00(rgb.Lab(), stack.Predict(cov)) > 0.7 {
			continue // too much ink, or outside sRGB: artwork cannot ask for it
		}
		l.coverages(rgb, cov)
		errs = append(errs, errorOf(stack, cov, rgb.Lab()))
	}
	return errs
}

func evenly(errs []float64) []target {
	list := make([]target, len(errs))
	for i := range list {
		list[i].weight = 1
	}
	return list
}

// ramps are ways through colour space, u 0..1, in sRGB codes.
var ramps = map[string]func(u float64) [3]float64{
	"grey":         func(u float64) [3]float64 { return [3]float64{255 * u, 255 * u, 255 * u} },
	"red to white": func(u float64) [3]float64 { return [3]float64{255, 255 * u, 255 * u} },
	"hue":          func(u float64) [3]float64 { return turned(128, 100, u) },
	"dark hue":     func(u float64) [3]float64 { return turned(40, 30, u) },
	"full hue":     func(u float64) [3]float64 { return turned(127.5, 127.5, u) },
}

func turned(mid, by, u float64) (c [3]float64) {
	for k := range c {
		c[k] = mid + by*math.Cos(2*math.Pi*(u+float64(k)/3))
	}
	return c
}

// between gives the coverages between codes, by the table's own tetrahedra.
func (t *table) between(c [3]float64, dst []float64) {
	var low [3]int
	var f [3]float64
	for axis, knots := range t.knots {
		for low[axis] < nodes-2 && c[axis] >= float64(knots[low[axis]+1]) {
			low[axis]++
		}
		from, to := float64(knots[low[axis]]), float64(knots[low[axis]+1])
		f[axis] = (c[axis] - from) / (to - from)
	}
	axes := []int{0, 1, 2}
	slices.SortFunc(axes, func(a, b int) int { return cmp.Compare(f[b], f[a]) })
	clear(dst)
	at, before := low, 1.0
	for i := range 4 {
		w := before
		if i < 3 {
			w, before = before-f[axes[i]], f[axes[i]]
		}
		for k, v := range t.node((at[0]*nodes+at[1])*nodes + at[2]) {
			dst[k] += w * v
		}
		if i < 3 {
			at[axes[i]]++
		}
	}
}

// A ramp of 4096 steps must not jump in any ink, and drawn in 8 bits it must not show an edge the art has not.
func TestRampsHaveNoSteps(t *testing.T) {
	for _, garment := range []string{"#ffffff", "#808080", "#17181a"} {
		ly := layersNamed(t, garment != "#ffffff", "red", "orange", "lemon", "green", "sky", "royal", "black")
		stack, tb := tableFor(t, ly, garment)
		l := newLookup(tb)
		for name, ramp := range ramps {
			step, where := largestStep(tb, ramp)
			byte8, edge := largestEdge(stack, l, ramp)
			t.Logf("%s, %s: largest step of 4096 %.2f %% (%s), of the same in 8 bits %.1f %%; edges %.2f CIEDE2000",
				garment, name, 100*step, ly.inks[where].ID, 100*byte8, edge)
			if step > 0.015 || byte8 > 0.06 || edge > 0.5 {
				t.Errorf("%s, %s: a step of %.2f %% (limit 1.5), %.1f %% in 8 bits (limit 6), edge of %.2f (limit 0.5)",
					garment, name, 100*step, 100*byte8, edge)
			}
		}
	}
}

func largestStep(tb *table, ramp func(u float64) [3]float64) (worst float64, ink int) {
	last, now := make([]float64, tb.inks), make([]float64, tb.inks)
	tb.between(ramp(0), last)
	for i := 1; i < 4096; i++ {
		tb.between(ramp(float64(i)/4095), now)
		for k := range now {
			if d := math.Abs(now[k] - last[k]); d > worst {
				worst, ink = d, k
			}
		}
		last, now = now, last
	}
	return worst, ink
}

// largestEdge gives the largest step of coverage between neighbours of the ramp in 8 bits, and by how much the colour
// of the print steps more than that of the art does.
func largestEdge(stack *ink.Stack, l *lookup, ramp func(u float64) [3]float64) (step, edge float64) {
	code := func(i int) color.RGB8 {
		c := ramp(float64(i) / 4095)
		return color.RGB8{R: uint8(c[0] + .5), G: uint8(c[1] + .5), B: uint8(c[2] + .5)}
	}
	last, now := make([]float64, stack.Len()), make([]float64, stack.Len())
	l.coverages(code(0), last)
	for i := 1; i < 4096; i++ {
		a, b := code(i-1), code(i)
		if a == b {
			continue
		}
		l.coverages(b, now)
		for k := range now {
			step = max(step, math.Abs(now[k]-last[k]))
		}
		edge = max(edge, color.DeltaE00(stack.Predict(last), stack.Predict(now))-color.DeltaE00(a.Lab(), b.Lab()))
		last, now = now, last
	}
	return step, edge
}

func TestTheErrorOfTheArtsColoursIsTheMatch(t *testing.T) {
	insp := inspected(t, scene(300, 300))
	for _, m := range []Method{SimulatedProcess, Index} {
		req := request(t, "#17181a")
		req.Method = m
		r, err := Choose(insp, req)
		if err != nil {
			t.Fatal(err)
		}
		list := targetsOf(&insp.Digest, req.Ground)
		sum := 0.0
		for _, w := range list {
			sum += w.weight * r.ErrorOf(w.rgb)
		}
		if math.Abs(sum-r.MeanE00) > 0.05 {
			t.Errorf("%s: %.3f by the colours, %.3f reported", m, sum, r.MeanE00)
		}
	}
}
