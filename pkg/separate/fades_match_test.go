package separate

import (
	"math"
	"testing"

	col "tamis/pkg/color"
)

func TestPlatesThatFadeTogetherSayHowFarTheirDotsOverlap(t *testing.T) {
	req := request(t, "#1d3a8a")
	req.Method = Spot
	r, planes := separated(t, fadingBar(), req)
	red := plate(t, r, "red", Color)
	sum := 0.0
	for i, v := range planes[red].Pix {
		a, b := float64(v)/255, float64(planes[0].Pix[i])/255
		sum += min(a, b) - a*b
	}
	want, got := sum/float64(len(planes[0].Pix)), r.Overlap(0, red)
	t.Logf("overlap %.4f, from the planes %.4f", got, want)
	if got <= 0 || math.Abs(got-want) > 0.005 { // Ours: eight classes of alpha stand for the fade
		t.Errorf("overlap %.4f, from the planes %.4f", got, want)
	}
}

func TestTheMatchOfFlatArtCountsItsFades(t *testing.T) {
	req := request(t, "#17181a")
	req.Method = Spot
	img := fadingBar()
	r, planes := separated(t, img, req)
	ground, sum, n := req.groundRGB(), 0.0, 0.0
	cov := make([]float64, len(planes))
	for y := 30; y < 370; y += 5 {
		for x := 30; x < 770; x++ {
			p := img.Pix[4*(y*img.Width+x):]
			if p[3] == 0 {
				continue
			}
			for k := range cov {
				cov[k] = float64(planes[k].Row(y)[x]) / 255
			}
			rgb := over([3]float64{float64(p[0]), float64(p[1]), float64(p[2])}, float64(p[3])/255, ground)
			alpha := float64(p[3]) / 255
			sum, n = sum+alpha*col.DeltaE00(r.stack.Predict(cov), rgb.Lab()), n+alpha
		}
	}
	got := sum / n
	t.Logf("predicted %.2f, from the planes %.2f", r.MeanE00, got)
	if math.Abs(r.MeanE00-got) > 0.4 { // CIEDE2000. Ours: bins stand for the fade's colours
		t.Errorf("predicted %.2f, from the planes %.2f", r.MeanE00, got)
	}
}
