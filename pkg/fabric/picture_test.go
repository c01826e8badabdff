package fabric_test

import (
	"bytes"
	"image"
	"math"
	"testing"

	"tamis/pkg/fabric"
	"tamis/pkg/halftone"
)

func view() fabric.View {
	return fabric.View{Dot: halftone.DotRound, Tone: 0.3, Mesh: fabric.Mesh{ThreadsPerCM: 77, ThreadUM: 55},
		DistanceMM: eyeMM,
		Screen:     fabric.Screen{FreqLPI: 65, AngleDeg: 29, Orders: fabric.PlateOrders(halftone.DotRound)}}
}

// TestThePictureShowsMoreOfTheWorstAngle blurs both panels further, to what is coarser than a halftone cell, and
// compares how much is left: 65 lpi at 45 degrees beats with 77 threads/cm every 2 mm, at 29 degrees it does not.
func TestThePictureShowsMoreOfTheWorstAngle(t *testing.T) {
	img := view().Picture()
	chosen, worst := roughness(img, 40, 70), roughness(img, 520, 70)
	if worst < 2*chosen {
		t.Errorf("standard deviation of 1 mm squares: worst angle %.2f, chosen %.2f grey levels; twice is wanted",
			worst, chosen)
	}
	if again := view().Picture(); !bytes.Equal(again.Pix, img.Pix) {
		t.Error("the same view gives two pictures")
	}
}

// roughness is the standard deviation of the means of 10 x 10 pixels of a panel.
func roughness(img *image.RGBA, x0, y0 int) float64 {
	var sum, squares, n float64
	for y := 0; y < 440; y += 10 {
		for x := 0; x < 440; x += 10 {
			mean := 0.0
			for j := range 10 {
				for i := range 10 {
					mean += float64(img.RGBAAt(x0+x+i, y0+y+j).R) / 100
				}
			}
			sum, squares, n = sum+mean, squares+mean*mean, n+1
		}
	}
	return math.Sqrt(squares/n - sum/n*sum/n)
}

func TestTheChosenAngleIsSeenLessThanAnyOther(t *testing.T) {
	v := view()
	plates := []fabric.Plate{{Orders: v.Screen.Orders, Mesh: v.Mesh},
		{Orders: v.Screen.Orders, Mesh: fabric.Mesh{ThreadsPerCM: 90, ThreadUM: 48}}}
	found := fabric.Search(plates, fabric.Allowed{LPI: [2]float64{65, 65}, AngleDeg: [2]float64{0, 90}}, eyeMM)
	sweep := fabric.Sweep(plates, 65, eyeMM)
	for i, s := range sweep[:181] {
		if math.Abs(math.Remainder(float64(i)/2, 45)) <= 2 {
			continue // weavers warn of 0, 45 and 90
		}
		slip := math.Max(s, math.Max(sweep[max(i-1, 0)], sweep[i+1]))
		if slip < found.Visibility-0.0005-1e-12 {
			t.Errorf("%.1f degrees shows %.5f, the found %.1f shows %.5f", float64(i)/2, slip, found.AngleDeg, found.Visibility)
		}
	}
	wide := fabric.Search(plates, fabric.Allowed{LPI: [2]float64{60, 65}, AngleDeg: [2]float64{0, 90}}, eyeMM)
	if wide.Visibility > found.Visibility+0.0005 || wide.LPI < 60 || wide.LPI > 65 {
		t.Errorf("with more rulings allowed: %+v, with one: %+v", wide, found)
	}
}

func TestAChoiceSaysWhatToChange(t *testing.T) {
	meshes := []fabric.Mesh{{ThreadsPerCM: 43, ThreadUM: 80}, {ThreadsPerCM: 90, ThreadUM: 48}}
	orders := fabric.PlateOrders(halftone.DotRound)
	ask := fabric.Ask{Need: fabric.Need{Role: fabric.Colour, FreqLPI: 65, MinDotUM: 60, MinLineUM: 100,
		MaxParticleUM: 40}, Orders: &orders,
		Allowed: fabric.Allowed{LPI: [2]float64{65, 65}, AngleDeg: [2]float64{0, 90}}, DistanceMM: eyeMM}
	all := fabric.Choose(meshes, ask)
	if all[0].Fits() || all[1].Fits() {
		t.Fatalf("%+v fits", all)
	}
	for _, c := range all {
		seen := map[string]bool{}
		for _, k := range c.Constraints {
			seen[k.Code] = true
			if k.OK != (k.Change == "") {
				t.Errorf("%g threads/cm, %s: holds %v, change %q", c.Mesh.ThreadsPerCM, k.Code, k.OK, k.Change)
			}
		}
		for _, code := range []string{"mesh_to_ruling", "smallest_dot", "smallest_line", "particle", "ink_deposit", "moire"} {
			if !seen[code] {
				t.Errorf("%s is not weighed", code)
			}
		}
	}
	line := fabric.Choose(meshes, fabric.Ask{Need: fabric.Need{Role: fabric.Underbase}, DistanceMM: eyeMM})
	if line[0].Mesh.ThreadsPerCM != 43 || len(line[0].Beats) != 0 || !line[0].Fits() {
		t.Errorf("an underbase in line: %+v", line[0])
	}
}
