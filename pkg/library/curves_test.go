package library_test

import (
	"math"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/library"
)

func TestACalibrationIsOfItsShopAloneAndReadsBackAsACurve(t *testing.T) {
	l, _ := open(t)
	ctx := t.Context()
	r := library.Readings{Name: "press 1", Kind: "press"}
	for _, p := range [][2]float64{{0.1, 0.14}, {0.3, 0.38}, {0.5, 0.62}, {0.7, 0.81}, {0.9, 0.96}} {
		r.Patches = append(r.Patches, library.Reading{Tone: &p[0], Area: &p[1]})
	}
	c, created, err := l.SaveCalibration(ctx, "a", r)
	if err != nil || !created {
		t.Fatal(created, err)
	}
	if other, created, err := l.SaveCalibration(ctx, "b", r); err != nil || !created || other.ID != c.ID {
		t.Errorf("shop b: %s, %v, %v; want the same id, kept for itself", other.ID, created, err)
	}
	if _, err := l.Calibration(ctx, "c", c.ID); !fault.Is(err, fault.NotFound) {
		t.Errorf("shop c finds it: %v", err)
	}
	back, err := l.Calibration(ctx, "a", c.ID)
	if err != nil {
		t.Fatal(err)
	}
	curve, err := back.Tone()
	if err != nil || math.Abs(curve.At(0.5)-0.62) > 0.001 {
		t.Errorf("50 %% gives %g, %v; read was 0.62 (tolerance 0.001)", curve.At(0.5), err)
	}
}
