package shop_test

import (
	"math"
	"testing"

	"tamis/pkg/shop"
)

// TestTheExposureIsTheEmulsionsUnderItsLamp: inverse square by hand, 45 s found at 1000 mm.
func TestTheExposureIsTheEmulsionsUnderItsLamp(t *testing.T) {
	for name, r := range map[string]struct {
		edit          func(*shop.Profile)
		white, yellow float64
	}{
		"as found":                {func(*shop.Profile) {}, 45, 76.5},
		"half as far":             {func(p *shop.Profile) { p.Lamps[0].DistanceMM = 500 }, 11.25, 19.125},
		"1.2 times as far":        {func(p *shop.Profile) { p.Lamps[0].DistanceMM = 1200 }, 64.8, 110.16},
		"another, half the light": {func(p *shop.Profile) { p.Lamps[0].Light = 0.5 }, 90, 153},
		"another emulsion":        {func(p *shop.Profile) { p.DefaultEmulsion = "photopolymer" }, 15, 25.5},
		"neither named":           {func(p *shop.Profile) { p.DefaultEmulsion, p.DefaultLamp = "", "" }, 45, 76.5},
		"only the shop's own test": {func(p *shop.Profile) {
			p.DefaultEmulsion, p.DefaultLamp, p.Exposure.ExposureS = "", "", 60
		}, 60, 102},
	} {
		p := shop.Default().Profile
		r.edit(&p)
		for dyed, want := range map[bool]float64{false: r.white, true: r.yellow} {
			if got := p.Unit().TimeS(0.05, dyed); math.Abs(got/want-1) > 1e-9 {
				t.Errorf("%s, dyed %t: %.4f s, want %.4f", name, dyed, got, want)
			}
		}
	}
}

func TestEveryFigureOfEmulsionAndLampIsHeldToItsRange(t *testing.T) {
	for want, edit := range map[string]func(*shop.Profile){
		"/emulsions/1/id":                              func(p *shop.Profile) { p.Emulsions[1].ID = "Photo" },
		"/emulsions/1/name":                            func(p *shop.Profile) { p.Emulsions[1].Name = "" },
		"/emulsions/1/solids_pct":                      func(p *shop.Profile) { p.Emulsions[1].SolidsPct = 101 },
		"/emulsions/1/coats":                           func(p *shop.Profile) { p.Emulsions[1].Coats = 0 },
		"/emulsions/1/exposure_s/white":                func(p *shop.Profile) { p.Emulsions[1].ExposureS.White = 0 },
		"/emulsions/1/exposure_s/yellow":               func(p *shop.Profile) { p.Emulsions[1].ExposureS.Yellow = math.NaN() },
		"/lamps/0/distance_mm":                         func(p *shop.Profile) { p.Lamps[0].DistanceMM = 0 },
		"/lamps/0/tested_mm":                           func(p *shop.Profile) { p.Lamps[0].TestedMM = 1e6 },
		"/lamps/0/light":                               func(p *shop.Profile) { p.Lamps[0].Light = 0 },
		"/default_emulsion":                            func(p *shop.Profile) { p.DefaultEmulsion = "none" },
		"/default_lamp":                                func(p *shop.Profile) { p.DefaultLamp = "none" },
		"/exposure/exposure_s":                         func(p *shop.Profile) { p.Exposure.ExposureS = 60 },
		"/exposure/yellow_factor":                      func(p *shop.Profile) { p.Exposure.YellowFactor = 2 },
		"/exposure/exposure_s /exposure/yellow_factor": func(p *shop.Profile) { p.Emulsions[0].ExposureS = shop.MeshTimes{White: 30, Yellow: 45} },
		"": func(p *shop.Profile) { p.DefaultEmulsion, p.DefaultLamp, p.Emulsions, p.Lamps = "", "", nil, nil },
	} {
		p := shop.Default().Profile
		edit(&p)
		if got := fields(p.Check()); got != want {
			t.Errorf("named %q, want %q", got, want)
		}
	}
}
