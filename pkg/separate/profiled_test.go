package separate

import (
	"context"
	"math"
	"os"
	"testing"

	"tamis/pkg/color"
	"tamis/pkg/fault"
)

func cmykOutput(t testing.TB) *color.Output {
	t.Helper()
	data, err := os.ReadFile("/usr/share/color/icc/ghostscript/default_cmyk.icc") // Debian package libgs-common
	if err != nil {
		t.Fatal(err)
	}
	o, err := color.ParseOutput(data)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func TestAnOutputProfileSeparatesByItsOwnTable(t *testing.T) {
	img := scene(200, 200)
	req := request(t, "#ffffff")
	req.Method, req.Output, req.ChokeMM = Process, cmykOutput(t), 0
	r, err := Choose(inspected(t, img), req)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Plates) != 4 || r.Plates[3].Role != Black {
		t.Fatalf("plates %v", r.Plates)
	}
	planes, err := r.Apply(context.Background(), img, nil)
	if err != nil {
		t.Fatal(err)
	}
	order := map[string]int{"process-cyan": 0, "process-magenta": 1, "process-yellow": 2, "process-black": 3}
	sum, n := 0.0, 0.0
	for i := 0; i < 200*200; i += 7 {
		rgb := blend([4]uint8(img.Pix[4*i:4*i+4]), hex(t, "#ffffff"))
		want := req.Output.CMYK(rgb.Lab())
		for k, p := range r.Plates {
			sum += math.Abs(float64(planes[k].Pix[i])/255 - want[order[p.Ink.ID]])
			n++
		}
	}
	if mean := sum / n; mean > 0.01 {
		t.Errorf("the plates are %.4f of coverage off the profile on average, limit 0.01", mean)
	}
}

func TestAProfileIsRefusedOnADarkGarmentAndWithoutItsInks(t *testing.T) {
	insp := inspected(t, scene(100, 100))
	dark := request(t, "#17181a")
	dark.Method, dark.Output = Process, cmykOutput(t)
	if _, err := Choose(insp, dark); fault.Of(err).Code != "profile_needs_light_garment" {
		t.Errorf("on black: %v", err)
	}
	short := request(t, "#ffffff")
	short.Method, short.Output, short.Inks = Process, dark.Output, short.Inks[:len(short.Inks)-1]
	if _, err := Choose(insp, short); fault.Of(err).Code != "process_inks_missing" {
		t.Errorf("without black: %v", err)
	}
}
