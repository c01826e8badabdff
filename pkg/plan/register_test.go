package plan_test

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"
	"testing"

	"tamis/pkg/plan"
)

// TestTheRegisterBudgetIsTheRootOfSquaresAndSaysWhatCoversIt: by hand, device and press of the default shop, 1.5 times
// their root of squares, 0.5 mm at most.
func TestTheRegisterBudgetIsTheRootOfSquaresAndSaysWhatCoversIt(t *testing.T) {
	one := image.NewNRGBA(image.Rect(0, 0, 300, 300))
	draw.Draw(one, image.Rect(60, 60, 240, 240), image.NewUniform(color.NRGBA{200, 50, 43, 255}), image.Point{}, draw.Src)
	disk, soft, alone := inspected(t, true), inspected(t, false), looked(t, one)
	for name, r := range map[string]struct {
		in     plan.Input
		want   plan.Register
		remedy string
	}{
		"picked": {input(t, disk, "#ffffff", ""),
			plan.Register{DeviceMM: 0.1, PressMM: 0.12, TotalMM: 0.156, CoverMM: 0.234, ButtJoints: true, TrapMM: 0.234, Covered: true}, ""},
		"asked too narrow": {input(t, disk, "#ffffff", `,"separation":{"trap_mm":0.1}`),
			plan.Register{DeviceMM: 0.1, PressMM: 0.12, TotalMM: 0.156, CoverMM: 0.234, ButtJoints: true, TrapMM: 0.1, GapMM: 0.056}, "0.24 mm"},
		"none": {input(t, disk, "#17181a", `,"separation":{"trap_mm":0}`),
			plan.Register{DeviceMM: 0.1, PressMM: 0.12, TotalMM: 0.156, CoverMM: 0.234, ButtJoints: true, GapMM: 0.156, Based: true, ChokeMM: 0.3}, "0.24 mm"},
		"more than a trap may be": {input(t, disk, "#ffffff", `,"film":{"device":"laser-1200"},"press":"manual-6"`),
			plan.Register{DeviceMM: 0.35, PressMM: 0.2, TotalMM: 0.403, CoverMM: 0.605, ButtJoints: true, TrapMM: 0.5}, "0.61 mm"},
		"tones": {input(t, soft, "#ffffff", ""),
			plan.Register{DeviceMM: 0.1, PressMM: 0.12, TotalMM: 0.156, CoverMM: 0.234, Covered: true}, ""},
		"one colour": {input(t, alone, "#17181a", `,"separation":{"trap_mm":0}`),
			plan.Register{DeviceMM: 0.1, PressMM: 0.12, TotalMM: 0.156, CoverMM: 0.234, Based: true, ChokeMM: 0.3, Covered: true}, ""},
	} {
		p := made(t, r.in)
		if got := p.Doc.Register; got != r.want {
			t.Errorf("%s: %+v, want %+v", name, got, r.want)
		}
		w := warned(p, "trap_too_narrow")
		if (w == nil) != r.want.Covered || w != nil && !strings.Contains(w.Remedy, r.remedy) {
			t.Errorf("%s: warned of %+v", name, w)
		}
	}
	if by := math.Hypot(0.1, 0.12); math.Abs(by-0.156) > 0.0003 {
		t.Errorf("by hand %.4f", by)
	}
}

// TestAnUnderbaseUnderColourIsChokedByTheRegisterOrSaid: 0.605 mm is 1.5 times the root of 0.35 and 0.2 mm squared.
func TestAnUnderbaseUnderColourIsChokedByTheRegisterOrSaid(t *testing.T) {
	disk, soft := inspected(t, true), inspected(t, false)
	const slack = `,"film":{"device":"laser-1200"},"press":"manual-6"`
	for name, r := range map[string]struct {
		in      plan.Input
		based   bool
		chokeMM float64
		warned  bool
	}{
		"picked":                  {input(t, disk, "#1f3a5f", slack+`,"separation":{"trap_mm":1}`), true, 0.605, false},
		"picked at good register": {input(t, disk, "#1f3a5f", ""), true, 0.3, false},
		"asked as the default was": {input(t, disk, "#1f3a5f", slack+`,"separation":{"choke_mm":0.3,"trap_mm":1}`), true, 0.3,
			true},
		"none":              {input(t, disk, "#1f3a5f", slack+`,"separation":{"choke_mm":0,"trap_mm":1}`), true, 0, true},
		"none in tones":     {input(t, soft, "#1f3a5f", slack+`,"separation":{"choke_mm":0}`), true, 0, true},
		"as thin art bears": {input(t, disk, "#1f3a5f", slack+`,"print":{"width_mm":5},"separation":{"trap_mm":0}`), true, 0.5, true},
		"no underbase":      {input(t, disk, "#ffffff", slack+`,"separation":{"choke_mm":0,"trap_mm":1}`), false, 0, false},
		"squares":           {input(t, soft, "#1f3a5f", slack+`,"separation":{"method":"index"}`), false, 0, false},
	} {
		p := made(t, r.in)
		got, w := p.Doc.Register, warned(p, "choke_too_narrow")
		if got.Based != r.based || math.Abs(got.ChokeMM-r.chokeMM) > 1e-9 || (w != nil) != r.warned {
			t.Errorf("%s: %+v, warned of %+v", name, got, w)
		}
		if w != nil && (got.Covered || !strings.Contains(w.Remedy, "choke by 0.61 mm")) {
			t.Errorf("%s: covered %v, %+v", name, got.Covered, w)
		}
	}
}
