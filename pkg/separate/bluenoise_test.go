package separate

import (
	"context"
	"image/color"
	"math"
	"testing"

	"tamis/pkg/fault"
)

// stepped is a row of flat patches of grey and colour, 100 px each.
func stepped() canvas {
	c := newCanvas(800, 200)
	for i := range 8 {
		v := uint8(30 + 28*i)
		c.fill(100*i, 0, 100*i+100, 100, color.NRGBA{v, v, v, 255})
		c.fill(100*i, 100, 100*i+100, 200, color.NRGBA{v, 255 - v, 128, 255})
	}
	return c
}

func indexRequest(t testing.TB, garment string, d IndexDither) Request {
	req := request(t, garment)
	req.Method, req.IndexDither, req.MaxScreens = Index, d, 5
	req.PrintWidthMM, req.PrintHeightMM = 800/170.0*25.4, 200/170.0*25.4 // a pixel of the art is a dot
	return req
}

func TestEveryDotOfAnIndexPrintIsOneInkOrBare(t *testing.T) {
	for _, d := range []IndexDither{BlueNoise, Diffusion} {
		for _, garment := range []string{"#ffffff", "#17181a"} {
			r, planes := separated(t, stepped().image(), indexRequest(t, garment, d))
			for i := range planes[0].Pix {
				inks, base := 0, false
				for k, p := range planes {
					switch {
					case p.Pix[i] != 0 && p.Pix[i] != 255:
						t.Fatalf("%s: a tone of %d", d, p.Pix[i])
					case p.Pix[i] == 255 && r.Plates[k].Role == Underbase:
						base = true
					case p.Pix[i] == 255:
						inks++
					}
				}
				if inks > 1 {
					t.Fatalf("%s on %s: dot %d has %d inks (underbase %v)", d, garment, i, inks, base)
				}
			}
		}
	}
}

// patchShares are the plates' mean coverages in the patch at column i, row j.
func patchShares(t *testing.T, garment string, d IndexDither) (shares [16][]float64) {
	r, planes := separated(t, stepped().image(), indexRequest(t, garment, d))
	for n := range shares {
		for k := range r.Plates {
			sum := 0
			for y := n / 8 * 100; y < n/8*100+100; y++ {
				for _, v := range planes[k].Row(y)[n%8*100 : n%8*100+100] {
					sum += int(v)
				}
			}
			shares[n] = append(shares[n], float64(sum)/255/1e4)
		}
	}
	return shares
}

func TestBothDithersMixTheSameShares(t *testing.T) {
	for _, garment := range []string{"#ffffff", "#17181a"} {
		a, b := patchShares(t, garment, BlueNoise), patchShares(t, garment, Diffusion)
		for n := range a {
			for k := range a[n] {
				if math.Abs(a[n][k]-b[n][k]) > 0.012 {
					t.Errorf("on %s, patch %d, plate %d: blue noise %.3f, diffusion %.3f (tolerance 0.012)", garment, n, k,
						a[n][k], b[n][k])
				}
			}
		}
	}
}

func TestBlueNoiseHasNoChessboard(t *testing.T) {
	_, planes := separated(t, stepped().image(), indexRequest(t, "#ffffff", BlueNoise))
	worst := 0.0
	for _, p := range planes {
		for n := range 16 {
			sum, odd := 0.0, 0.0
			for y := n / 8 * 100; y < n/8*100+100; y++ {
				for x := n % 8 * 100; x < n%8*100+100; x++ {
					v := float64(p.Pix[y*p.Width+x]) / 255
					sum += v
					odd += v * float64(1-2*((x+y)&1))
				}
			}
			worst = max(worst, math.Abs(odd)/1e4)
		}
	}
	if worst > 0.12 {
		t.Errorf("a chessboard of amplitude %.3f (tolerance 0.12; a full one has 0.5)", worst)
	}
}

func TestIndexEndsWithItsContextAndKnowsItsDithers(t *testing.T) {
	img := stepped().image()
	insp := inspected(t, img)
	for _, d := range []IndexDither{BlueNoise, Diffusion} {
		r, err := Choose(insp, indexRequest(t, "#ffffff", d))
		if err != nil {
			t.Fatal(err)
		}
		ctx, stop := context.WithCancel(t.Context())
		_, err = r.Apply(ctx, img, func(int, int) { stop() })
		if d == Diffusion && !fault.Is(err, fault.Canceled) && err != nil {
			t.Errorf("%s: %v", d, err)
		}
	}
	if _, err := Choose(insp, indexRequest(t, "#ffffff", "stipple")); fault.Of(err).Code != "index_dither_unknown" {
		t.Errorf("an unknown dither: %v", err)
	}
}
