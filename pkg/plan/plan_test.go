package plan_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"tamis/pkg/artwork"
	"tamis/pkg/fault"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
)

// inspected draws a picture and inspects it: flat is a red disk on a cream square on nothing, else a colour gradient.
func inspected(t testing.TB, flat bool) *artwork.Inspection {
	t.Helper()
	const w, h = 300, 360
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			dx, dy := x-w/2, y-h/2
			switch {
			case !flat:
				img.SetNRGBA(x, y, color.NRGBA{uint8(255 * x / w), uint8(255 * y / h), uint8(255 * (w - x) / w), 255})
			case dx*dx+dy*dy < 6400:
				img.SetNRGBA(x, y, color.NRGBA{200, 50, 43, 255})
			case max(dx, -dx) < 130 && max(dy, -dy) < 160:
				img.SetNRGBA(x, y, color.NRGBA{244, 231, 197, 255})
			}
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	decoded, err := artwork.Decode(context.Background(), b.Bytes(), artwork.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	found, err := artwork.Inspect(context.Background(), decoded)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// solved keeps tables from test to test: they depend on inks and garment alone.
var solved = separate.NewTables(32)

// input is an order on the default shop; extra is further JSON of the order, beginning with a comma.
func input(t testing.TB, insp *artwork.Inspection, garment, extra string) plan.Input {
	t.Helper()
	o, err := order.Parse(fmt.Appendf(nil, `{"artwork_id":"art_1","garment":{"color":%q,"unit_cost":"3.10"},"quantity":72%s}`, garment, extra))
	if err != nil {
		t.Fatal(err)
	}
	if o.Print.WidthMM == 0 && o.Print.HeightMM == 0 {
		o.Print.WidthMM = 150
	}
	if o, err = o.Complete(); err != nil {
		t.Fatal(err)
	}
	return plan.Input{Inspection: insp, Order: o, Shop: shop.Default(), Tables: solved}
}

func made(t testing.TB, in plan.Input) *plan.Plan {
	t.Helper()
	p, err := plan.New(in)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func Example() {
	o, _ := order.Parse([]byte(`{"artwork_id":"art_1","print":{"width_mm":300},"garment":{"color":"#fff","unit_cost":"1"},"quantity":1}`))
	_, err := o.Complete() // a plan wants a complete order: this one has a garment colour that cannot be
	fmt.Println(err)
	// Output: "#fff" is not a colour such as #17181a
}

func TestTheInspectionChoosesTheMethod(t *testing.T) {
	flat, soft := inspected(t, true), inspected(t, false)
	for name, r := range map[string]struct {
		insp                    *artwork.Inspection
		garment, method, expect string
	}{
		"flat":      {flat, "#17181a", "auto", "spot"},
		"soft":      {soft, "#17181a", "auto", "simulated_process"},
		"process":   {soft, "#ffffff", "process", "process"},
		"index":     {soft, "#17181a", "index", "index"},
		"spot soft": {flat, "#ffffff", "simulated_process", "simulated_process"},
	} {
		p := made(t, input(t, r.insp, r.garment, fmt.Sprintf(`,"separation":{"method":%q}`, r.method)))
		if p.Doc.Method != r.expect || p.Doc.Screens < 1 || p.Doc.Screens != len(p.Doc.Plates) || len(p.Specs) != p.Doc.Screens {
			t.Errorf("%s: %s with %d screens", name, p.Doc.Method, p.Doc.Screens)
		}
		for i, plate := range p.Doc.Plates {
			if plate.N != i+1 || (plate.Halftone != nil) != (p.Specs[i] != nil) {
				t.Errorf("%s: plate %+v", name, plate)
			}
		}
	}
}

func TestADarkGarmentGetsAnUnderbaseAndAFlash(t *testing.T) {
	dark := made(t, input(t, inspected(t, true), "#17181a", ""))
	if first := dark.Doc.Plates[0]; first.Role != "underbase" || !first.FlashAfter {
		t.Errorf("first plate on black: %+v", first)
	}
	for _, p := range made(t, input(t, inspected(t, true), "#ffffff", "")).Doc.Plates {
		if p.Role == "underbase" {
			t.Error("a white garment got an underbase")
		}
	}
}

// TestTheSameInputGivesTheSamePlan compares whole documents: a quote and the job after it are planned apart.
func TestTheSameInputGivesTheSamePlan(t *testing.T) {
	for _, flat := range []bool{true, false} {
		in := input(t, inspected(t, flat), "#20304a", "")
		a, b := made(t, in), made(t, in)
		one, _ := json.Marshal([]any{a.Doc, a.Quote})
		two, _ := json.Marshal([]any{b.Doc, b.Quote})
		if !bytes.Equal(one, two) {
			t.Errorf("plans differ:\n%s\n%s", one, two)
		}
	}
}

func TestTheQuoteIsThatOfThePlan(t *testing.T) {
	p := made(t, input(t, inspected(t, false), "#17181a", `,"separation":{"max_screens":5}`))
	sum := decimal.Zero
	for _, l := range p.Quote.Lines {
		sum = sum.Add(decimal.RequireFromString(l.Amount))
	}
	if sum.StringFixed(2) != p.Quote.Total {
		t.Errorf("lines %s, total %s", sum, p.Quote.Total)
	}
	found := false
	for _, r := range p.Quote.Ladder {
		if r.Screens == p.Doc.Screens {
			found = true
			if r.Total != p.Quote.Total || math.Abs(r.Mean-p.Doc.Match.Mean) > 0.011 {
				t.Errorf("rung %+v, plan %s %.2f", r, p.Quote.Total, p.Doc.Match.Mean)
			}
		}
	}
	if !found || p.Doc.Screens > 5 {
		t.Errorf("%d screens, ladder %+v", p.Doc.Screens, p.Quote.Ladder)
	}
	if rush := made(t, input(t, inspected(t, false), "#17181a", `,"separation":{"max_screens":5},"lane":"rush"`)); !decimal.RequireFromString(rush.Quote.Total).GreaterThan(sum) {
		t.Errorf("rush costs %s, normal %s", rush.Quote.Total, sum)
	}
	if kept := made(t, input(t, inspected(t, false), "#17181a", `,"separation":{"max_screens":5},"reuse_screens":true`)); !decimal.RequireFromString(kept.Quote.Total).LessThan(sum) {
		t.Errorf("kept screens cost %s, new ones %s", kept.Quote.Total, sum)
	}
}

// TestThePrintBoxIsTrueAfterScaleCorrection: a column at x mm stands at x / 25.4 * dpi * scale px from the box's edge.
func TestThePrintBoxIsTrueAfterScaleCorrection(t *testing.T) {
	p := made(t, input(t, inspected(t, true), "#ffffff",
		`,"film":{"device":{"x_dpi":1440,"y_dpi":720,"width_mm":330,"scale_x":1.0031,"scale_y":0.9987}}`))
	box := p.Doc.Film.PrintBox
	for axis, want := range []float64{150 / 25.4 * 1440 * 1.0031, 180 / 25.4 * 720 * 0.9987} {
		if got := float64(box[axis+2] - box[axis]); math.Abs(got-want) > 0.5 {
			t.Errorf("axis %d: %g px, want %.2f", axis, got, want)
		}
	}
	if math.Abs(p.Doc.Film.WidthMM-190) > 0.05 || math.Abs(p.Doc.Film.HeightMM-220) > 0.05 {
		t.Errorf("film %.3f x %.3f mm, want 190 x 220", p.Doc.Film.WidthMM, p.Doc.Film.HeightMM)
	}
}

func TestTheAspectIsKept(t *testing.T) {
	for extra, want := range map[string][2]float64{
		`,"print":{"width_mm":150}`: {150, 180}, `,"print":{"height_mm":90}`: {75, 90},
		`,"print":{"width_mm":300,"height_mm":120}`: {100, 120}, `,"print":{"width_mm":50,"height_mm":300}`: {50, 60}} {
		got := made(t, input(t, inspected(t, true), "#ffffff", extra)).Doc.Print
		if math.Abs(got.WidthMM-want[0]) > 1e-9 || math.Abs(got.HeightMM-want[1]) > 1e-9 {
			t.Errorf("%s: %g x %g", extra, got.WidthMM, got.HeightMM)
		}
	}
}

func TestProcessInksStandThirtyDegreesApart(t *testing.T) {
	p := made(t, input(t, inspected(t, false), "#ffffff", `,"separation":{"method":"process"}`))
	angles := map[string]float64{}
	for _, plate := range p.Doc.Plates {
		angles[plate.Ink.ID] = plate.Halftone.AngleDeg
	}
	strong := []string{"process-cyan", "process-magenta", "process-black"}
	for i, a := range strong {
		for _, b := range strong[:i] {
			if _, ok := angles[a]; !ok {
				continue
			}
			if d := math.Abs(angles[a] - angles[b]); d < 29 {
				t.Errorf("%s at %g, %s at %g", a, angles[a], b, angles[b])
			}
		}
	}
}

func TestRulingAndMeshAreFollowedOrRefused(t *testing.T) {
	soft := inspected(t, false)
	p := made(t, input(t, soft, "#17181a", `,"halftone":{"lpi":45,"angle_deg":30,"dot":"ellipse"},"mesh":{"threads_per_cm":90}`))
	for _, plate := range p.Doc.Plates {
		h := plate.Halftone
		if h.LPI != 45 || h.AngleDeg != 30 || plate.Mesh.ThreadsPerCM != 90 {
			t.Errorf("plate %+v", plate)
		}
		if math.Abs(h.ActualLPI/45-1) > 0.001 || math.Abs(h.ActualAngleDeg-30) > 0.02 {
			t.Errorf("asked 45 at 30, made %.3f at %.3f", h.ActualLPI, h.ActualAngleDeg)
		}
	}
	coarse := input(t, soft, "#17181a", `,"halftone":{"lpi":110}`)
	coarse.Shop.Meshes.Meshes = coarse.Shop.Meshes.Meshes[:3]
	if _, err := plan.New(coarse); fault.Of(err).Field != "/halftone/lpi" {
		t.Errorf("110 lpi on 54 threads/cm: %v", err)
	}
	if _, err := plan.New(input(t, soft, "#17181a", `,"print":{"width_mm":2900}`)); !fault.Is(err, fault.Invalid) {
		t.Errorf("a print wider than the device: %v", err)
	}
}

func TestAWeakBlackIsSaid(t *testing.T) {
	p := made(t, input(t, inspected(t, true), "#ffffff", `,"film":{"device":{"x_dpi":1200,"y_dpi":1200,"width_mm":297,"dmin":0.08,"dmax":1.7}}`))
	for _, w := range p.Doc.Warnings {
		if w.Code == "weak_black" {
			return
		}
	}
	t.Errorf("a black of 1.7 is passed over: %+v", p.Doc.Warnings)
}

// TestAnInlineDevicesDensitiesAreAssumedAndSaid: without them it exposes as the shop's own film does.
func TestAnInlineDevicesDensitiesAreAssumedAndSaid(t *testing.T) {
	const plain, dense = `"x_dpi":1440,"y_dpi":1440,"width_mm":430`, `,"dmin":0.9,"dmax":3`
	own := made(t, input(t, inspected(t, true), "#17181a", ""))
	given := made(t, input(t, inspected(t, true), "#17181a", `,"film":{"device":{`+plain+`}}`))
	if given.Doc.Plates[0].ExposureS != own.Doc.Plates[0].ExposureS {
		t.Errorf("%g s, on the shop's own film %g", given.Doc.Plates[0].ExposureS, own.Doc.Plates[0].ExposureS)
	}
	foggy := made(t, input(t, inspected(t, true), "#17181a", `,"film":{"device":{`+plain+dense+`}}`))
	for _, r := range []struct {
		p     *plan.Plan
		codes string
	}{{own, ""}, {given, "assumed_densities"}, {foggy, "far_from_test clear_is_dense"}} {
		var got []string
		for _, w := range r.p.Doc.Warnings {
			if strings.Contains("assumed_densities far_from_test black_leaks weak_black clear_is_dense", w.Code) {
				got = append(got, w.Code)
			}
		}
		if strings.Join(got, " ") != r.codes {
			t.Errorf("warned of %q, want %q", got, r.codes)
		}
	}
}

func TestAWordWithoutEffectIsSaid(t *testing.T) {
	for extra, want := range map[string]string{`,"halftone":{"kind":"fm","lpi":55}`: "halftone.lpi", `,"halftone":{"kind":"am","dot_um":200}`: "halftone.dot_um",
		`,"separation":{"method":"simulated_process","index_dpi":120}`: "separation.index_dpi"} {
		p := made(t, input(t, inspected(t, false), "#17181a", extra))
		seen := map[string]int{}
		found := false
		for _, w := range p.Doc.Warnings {
			seen[w.Code]++
			found = found || w.Code == "ignored" && strings.Contains(w.Message, want)
			if seen[w.Code] > 1 {
				t.Errorf("%s stands twice", w.Code)
			}
		}
		if !found {
			t.Errorf("%s: nothing says that %s has no effect: %+v", extra, want, p.Doc.Warnings)
		}
	}
}

func TestAChokeWiderThanThePrintBearsIsRefused(t *testing.T) {
	_, err := plan.New(input(t, inspected(t, true), "#17181a", `,"print":{"width_mm":6},"separation":{"choke_mm":3,"trap_mm":2}`))
	faults := fault.All(err)
	if len(faults) != 2 || faults[0].Field != "/separation/choke_mm" || faults[1].Field != "/separation/trap_mm" {
		t.Errorf("%v", faults)
	}
	made(t, input(t, inspected(t, true), "#17181a", `,"print":{"width_mm":5.1}`)) // the default gives way
}

// TestProcessGetsAnUnderbaseWhereTheGarmentNeedsOne: transparent inks show nothing on dark cloth without one.
func TestProcessGetsAnUnderbaseWhereTheGarmentNeedsOne(t *testing.T) {
	soft := inspected(t, false)
	based := made(t, input(t, soft, "#20304a", `,"separation":{"method":"process"}`))
	if based.Doc.Plates[0].Role != "underbase" {
		t.Errorf("first plate on navy: %+v", based.Doc.Plates[0])
	}
	bare := made(t, input(t, soft, "#20304a", `,"separation":{"method":"process","underbase":"off"}`))
	if bare.Doc.Match.Mean < 2*based.Doc.Match.Mean {
		t.Errorf("mean error %.1f without, %.1f with an underbase", bare.Doc.Match.Mean, based.Doc.Match.Mean)
	}
	forced := made(t, input(t, soft, "#ffffff", `,"separation":{"method":"process","underbase":"on"}`))
	empty := false
	for _, w := range forced.Doc.Warnings {
		empty = empty || w.Code == "empty_plate" && w.Plate == 1
	}
	if forced.Doc.Plates[0].Role != "underbase" || forced.Doc.Plates[0].Coverage < 0.0005 && !empty {
		t.Errorf("an underbase on white that prints nothing is not said: %+v", forced.Doc.Warnings)
	}
}

// TestAGivenTrapIsJudgedApartFromTheDefaultChoke: only what the order says is refused.
func TestAGivenTrapIsJudgedApartFromTheDefaultChoke(t *testing.T) {
	made(t, input(t, inspected(t, true), "#17181a", `,"print":{"width_mm":5.1},"separation":{"trap_mm":0.2}`))
}
