package separate

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"tamis/pkg/artwork"
)

// benchApply separates a picture of a real print's size.
func benchApply(b *testing.B, img *artwork.Image, garment string, chokeMM float64) {
	req := request(b, garment)
	req.ChokeMM, req.PrintHeightMM, req.MaxScreens = chokeMM, 360, 6
	r, err := Choose(inspected(b, img), req)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.Apply(context.Background(), img, nil); err != nil {
			b.Fatal(err)
		}
	}
	px := float64(img.Width * img.Height)
	b.ReportMetric(float64(len(r.Plates)), "plates")
	b.ReportMetric(px*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mpx/s")
}

func BenchmarkApply(b *testing.B) {
	tones, flat := scene(3000, 3600), flatDesign(3000)
	grain := noisy(3600, 4800)
	b.Run("grain", func(b *testing.B) { benchApply(b, grain, "#17181a", 0) })
	b.Run("grain/choke", func(b *testing.B) { benchApply(b, grain, "#17181a", 0.3) })
	b.Run("tones", func(b *testing.B) { benchApply(b, tones, "#17181a", 0) })
	b.Run("tones/choke", func(b *testing.B) { benchApply(b, tones, "#17181a", 0.3) })
	b.Run("spot", func(b *testing.B) { benchApply(b, flat, "#17181a", 0) })
	b.Run("spot/choke", func(b *testing.B) { benchApply(b, flat, "#17181a", 0.3) })
}

func BenchmarkChoose(b *testing.B) {
	insp := inspected(b, scene(800, 900))
	for _, m := range []Method{SimulatedProcess, Process, Index} {
		b.Run(string(m), func(b *testing.B) {
			req := request(b, "#17181a")
			req.Method = m
			for b.Loop() {
				if _, err := Choose(insp, req); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// noisy is the scene with grain, as photographs have it: hardly two neighbours are equal.
func noisy(w, h int) *artwork.Image {
	img := scene(w, h)
	rng := rand.New(rand.NewPCG(3, 4))
	for i := range img.Pix {
		if i%4 < 3 {
			img.Pix[i] = uint8(min(max(int(img.Pix[i])+rng.IntN(9)-4, 0), 255))
		}
	}
	return img
}

func BenchmarkTable(b *testing.B) {
	for _, garment := range []string{"#ffffff", "#17181a"} {
		ids := []string{"red", "orange", "lemon", "green", "sky", "royal", "magenta", "black"}
		ly := layersNamed(b, garment != "#ffffff", ids[:7]...)
		if garment == "#ffffff" {
			ly = layersNamed(b, false, ids...)
		}
		b.Run(fmt.Sprintf("%dinks%s", len(ly.inks), garment), func(b *testing.B) {
			for b.Loop() {
				tableFor(b, ly, garment)
			}
		})
	}
}

// BenchmarkLadder climbs the whole ladder of a picture with every spot ink, on one core when run with -cpu 1.
func BenchmarkLadder(b *testing.B) {
	insp := inspected(b, noisy(800, 900))
	for _, garment := range []string{"#ffffff", "#17181a"} {
		req := withDefaults(request(b, garment))
		j := &job{insp: insp, req: req, targets: targetsOf(&insp.Digest, req.Ground)}
		b.Run(garment, func(b *testing.B) {
			for b.Loop() {
				l := j.newLadder(spotInks(req.Inks), whiteInk(req.Inks))
				if rungs, _ := l.climb(MaxScreens); len(rungs) < 4 {
					b.Fatal(rungs)
				}
			}
		})
	}
}
