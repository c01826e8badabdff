package separate

import (
	"fmt"
	"math"
	"math/rand/v2"
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
	for _, garment := range []string{"#ffffff", "#808080", "#17181a"} {
		for _, ids := range [][]string{
			{"red", "lemon", "royal"},
			{"red", "orange", "lemon", "green", "sky", "royal", "magenta"},
		} {
			ly := layersNamed(t, garment != "#ffffff", ids...)
			stack, tb := tableFor(t, ly, garment)
			l := newLookup(tb)
			rng := rand.New(rand.NewPCG(1, 2))
			sum, worst, n := 0.0, 0.0, 0
			var errs []float64
			for range 2000 {
				cov := make([]float64, stack.Len())
				total := 0.0
				for i := range cov {
					cov[i] = math.Max(0, rng.Float64()*1.6-0.6)
					total += cov[i]
				}
				if total > inkLimit {
					continue
				}
				rgb := stack.Predict(cov).RGB8()
				if color.DeltaE00(rgb.Lab(), stack.Predict(cov)) > 0.7 {
					continue // outside sRGB: artwork cannot ask for it
				}
				var got [16]uint8
				l.at(rgb, got[:])
				back := make([]float64, len(cov))
				for i := range back {
					back[i] = float64(got[i]) / 255
				}
				e := errorOf(stack, back, rgb.Lab())
				errs = append(errs, e)
				sum, worst, n = sum+e, math.Max(worst, e), n+1
			}
			mean, p95 := match(make1(errs), errs)
			t.Logf(
				"%s %d inks: %d colours, mean %.2f p95 %.2f worst %.1f CIEDE2000",
				garment,
				stack.Len(),
				n,
				mean,
				p95,
				worst,
			)
			if mean > 0.8 || p95 > 2 {
				t.Errorf(
					"%s %d inks: mean %.2f (limit 0.8) p95 %.2f (limit 2)",
					garment,
					stack.Len(),
					mean,
					p95,
				)
			}
		}
	}
}

func make1(errs []float64) []target {
	list := make([]target, len(errs))
	for i := range list {
		list[i].weight = 1
	}
	return list
}

func TestRampsHaveNoSteps(t *testing.T) {
	ramps := map[string]func(u float64) color.RGB8{
		"grey":         func(u float64) color.RGB8 { v := uint8(u*255 + .5); return color.RGB8{R: v, G: v, B: v} },
		"red to white": func(u float64) color.RGB8 { v := uint8(u*255 + .5); return color.RGB8{R: 255, G: v, B: v} },
		"hue": func(u float64) color.RGB8 {
			f := func(o float64) uint8 { return uint8(128 + 100*math.Cos(2*math.Pi*u+o)) }
			return color.RGB8{R: f(0), G: f(2.1), B: f(4.2)}
		},
		"dark hue": func(u float64) color.RGB8 {
			f := func(o float64) uint8 { return uint8(40 + 30*math.Cos(2*math.Pi*u+o)) }
			return color.RGB8{R: f(0), G: f(2.1), B: f(4.2)}
		},
	}
	for _, garment := range []string{"#ffffff", "#17181a"} {
		ly := layersNamed(t, garment != "#ffffff", "red", "orange", "lemon", "green", "sky", "royal", "black")
		_, tb := tableFor(t, ly, garment)
		l := newLookup(tb)
		for name, ramp := range ramps {
			var last, now [16]uint8
			l.at(ramp(0), last[:])
			worst, where := 0, ""
			for i := 1; i < 4096; i++ {
				c := ramp(float64(i) / 4095)
				l.at(c, now[:])
				for k := range ly.inks {
					if d := int(now[k]) - int(last[k]); d > worst || -d > worst {
						worst = max(d, -d)
						where = fmt.Sprintf("%s at %s", ly.inks[k].ID, c.Hex())
					}
				}
				last = now
			}
			t.Logf("%s, %s: largest step %.1f %% (%s)", garment, name, float64(worst)/2.55, where)
			if worst > 18 {
				t.Errorf("%s, %s: a step of %d/255, limit 18 (%s)", garment, name, worst, where)
			}
		}
	}
}
