package produce_test

import (
	"bytes"
	"strings"
	"testing"

	"tamis/pkg/produce"
)

// TestASplitJobListsEveryPartOfEveryFilm prints 60 mm on sheets of 50 x 55: two films a plate, each listed with what it
// shows, bound in one PDF, priced by their area, beside an overlay of the whole.
func TestASplitJobListsEveryPartOfEveryFilm(t *testing.T) {
	in := inputOn(t, picture(t, true), `{"device":{"x_dpi":600,"y_dpi":300,"width_mm":50,"max_length_mm":55},"margin_mm":5,"split":true,
		"formats":["tiff","pdf","overlay"]}`, `,"proof":{"from":"films"},"separation":{"max_screens":3}`)
	s := newShelf()
	result, err := produce.Run(t.Context(), in, s)
	if err != nil {
		t.Fatal(err)
	}
	checkManifest(t, s)
	doc, area := result.Plan, 0.0
	if len(doc.Film.Parts) != 2 {
		t.Fatalf("%d parts, want 2", len(doc.Film.Parts))
	}
	if want := 4 * len(doc.Plates); len(result.Films) != want {
		t.Errorf("%d films are listed, want %d", len(result.Films), want)
	}
	whole := doc.Film.PrintBox
	for _, f := range result.Films {
		box, shows := f.PrintBox, f.Shows
		switch {
		case f.Parts != 2 || f.Part < 1 || f.Part > 2:
			t.Errorf("%s is part %d of %d", f.File, f.Part, f.Parts)
		case box[2]-box[0] != shows[2]-shows[0] || box[3]-box[1] != shows[3]-shows[1]:
			t.Errorf("%s part %d: a print box %v shows %v", f.File, f.Part, box, shows)
		case f.Part == 2 && shows[2] != whole[2]-whole[0]:
			t.Errorf("part 2 ends at %d of %d px", shows[2], whole[2]-whole[0])
		case f.WidthMM > 50.01 || f.HeightMM > 55.01:
			t.Errorf("%s is %g x %g mm", f.File, f.WidthMM, f.HeightMM)
		}
		if f.Format == "tiff" {
			area += f.WidthMM * f.HeightMM / 1e6
			if !bytes.Contains(s.bytes[f.SHA256][:600], []byte("part "+string(rune('0'+f.Part))+" of 2")) {
				t.Errorf("%s does not say which part it is", f.File)
			}
		}
	}
	if d := area - doc.FilmAreaM2; d > 1e-4 || d < -1e-4 {
		t.Errorf("films of %.5f m2, the plan counts %.5f", area, doc.FilmAreaM2)
	}
	if pdf := s.bytes[s.files["films.pdf"].SHA256]; !bytes.Contains(pdf, []byte("/Count "+
		string(rune('0'+2*len(doc.Plates)))+" ")) {
		t.Error("the PDF has not two pages a plate")
	}
	if !strings.HasPrefix(string(s.bytes[s.files["overlay.pdf"].SHA256]), "%PDF-") {
		t.Error("there is no overlay")
	}
}
