package film

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"testing"

	"tamis/pkg/halftone"
	"tamis/pkg/raster"
	"tamis/pkg/tone"
)

// TestFilmsAreTheSameBytesOnEveryMachine holds the hashes of films of every kind, marks and all: they must not change
// with the machine, the number of cores or the compiler's choices. A change meant to alter films alters these.
func TestFilmsAreTheSameBytesOnEveryMachine(t *testing.T) {
	l := mustLay(t, small())
	plane := raster.NewPlane(270, 210) // made of whole numbers, for the sine is not the same everywhere
	for i := range plane.Pix {
		plane.Pix[i] = uint8((i%270*255/269 + i/270*255/209) / 2)
	}
	for _, c := range []struct {
		name string
		spec halftone.Spec
		want string
	}{
		{"am", halftone.Spec{Kind: halftone.AM, FreqLPI: 25, AngleDeg: 22.5}, "14236d879d37c938"},
		{"ellipse, held", halftone.Spec{Kind: halftone.AM, FreqLPI: 20, AngleDeg: 75, Dot: halftone.DotEllipse,
			MinDot: 0.04, MinGap: 0.04, Highlights: halftone.Hold}, "4230d9bd2b4fc23b"},
		{"fm", halftone.Spec{Kind: halftone.FM, DotUM: 150}, "01e14d0b0d9ff50d"},
		{"hybrid", halftone.Spec{Kind: halftone.Hybrid, FreqLPI: 25, AngleDeg: 22.5, DotUM: 200}, "5849fcf1983ac8fa"},
		{"line", halftone.Spec{}, "49db2998e34a015a"},
	} {
		p := Plate{N: 1, Of: 3, InkName: "Golden \u00e4\u6d77", Order: "G-1", Mesh: "61/cm", Plane: plane}
		if c.spec.Kind != "" {
			p.Screen = mustScreen(t, l, c.spec).WithCurve(tone.Compensation(tone.EdgeGrowth(55, 3), tone.EdgeGrowth(55, 20)))
		}
		data, _ := mustWrite(t, l, p)
		sum := sha256.Sum256(data)
		if got := hex.EncodeToString(sum[:8]); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		var pdf bytes.Buffer
		if err := WritePDF(&pdf, l, []PDFPage{{TIFF: bytes.NewReader(data), InkName: p.InkName, Hex: "#203080"}}); err != nil {
			t.Error(err)
		}
	}
}
