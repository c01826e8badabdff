package produce_test

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"tamis/pkg/artwork"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/produce"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
)

// photograph is a picture of w x h pixels with tones, grain and edges, as a PNG.
func photograph(t testing.TB, w, h int) []byte {
	t.Helper()
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	rng := rand.New(rand.NewPCG(1, 2))
	for y := range h {
		for x := range w {
			u, v := float64(x)/float64(w), float64(y)/float64(h)
			f := func(a, b, c float64) uint8 {
				s := 128 + 100*math.Sin(a*u+b*v+c) + float64(rng.IntN(7))
				if math.Mod(9*u+5*v, 1) < 0.3 {
					s *= 0.7
				}
				return uint8(min(max(s, 0), 255))
			}
			img.SetNRGBA(x, y, color.NRGBA{f(5, 3, 0), f(-4, 6, 1), f(2, -7, 2), 255})
		}
	}
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// BenchmarkJob makes a whole job of six plates, 12 x 16 inches at 1440 dpi, from a picture of 17 Mpx, and shows where the
// time goes.
func BenchmarkJob(b *testing.B) {
	art := photograph(b, 3600, 4800)
	img, err := artwork.Decode(context.Background(), art, artwork.Limits{})
	if err != nil {
		b.Fatal(err)
	}
	insp, err := artwork.Inspect(context.Background(), img)
	if err != nil {
		b.Fatal(err)
	}
	o, err := order.Parse([]byte(`{"artwork_id":"art_1","print":{"width_mm":304.8},"garment":{"color":"#17181a","unit_cost":"3"},
		"quantity":10,"separation":{"max_screens":6},"film":{"device":{"x_dpi":1440,"y_dpi":1440,"width_mm":420}}}`))
	if err != nil {
		b.Fatal(err)
	}
	if o, err = o.Complete(); err != nil {
		b.Fatal(err)
	}
	tables := separate.NewTables(2)
	p, err := plan.New(plan.Input{Inspection: insp, Order: o, Shop: shop.Default(), Tables: tables})
	if err != nil {
		b.Fatal(err)
	}
	spent, last, at := map[string]time.Duration{}, time.Now(), "plan"
	report := func(_, _ int, stage string) {
		spent[at] += time.Since(last)
		last, at = time.Now(), stage
	}
	for b.Loop() {
		last, at = time.Now(), "plan"
		p, err = plan.New(plan.Input{Inspection: insp, Order: o, Shop: shop.Default(), Tables: tables})
		if err != nil {
			b.Fatal(err)
		}
		in := produce.Input{Plan: p, Label: "w012", Image: img, SpoolDir: b.TempDir(), Report: report}
		if _, err := produce.Run(context.Background(), in, newShelf()); err != nil {
			b.Fatal(err)
		}
	}
	for stage, d := range spent {
		b.ReportMetric(d.Seconds()/float64(b.N), fmt.Sprintf("%s-s", stage))
	}
	b.ReportMetric(float64(len(p.Doc.Plates)), "plates")
}
