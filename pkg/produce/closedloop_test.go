package produce_test

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/image/draw"

	"tamis/pkg/artwork"
	"tamis/pkg/produce"
)

// loopRow is one picture that nobody here made, and how it is to be printed. The pictures are those of the Debian
// packages palapeli-data (photographs) and pingus-data (drawings with soft and hard alpha, lettering).
type loopRow struct {
	picture, garment string
	widthMM          float64
	ask              string // of the order: separation, halftone
	sharp            bool   // printed at its own resolution: flat art
}

const (
	photographs = "/usr/share/palapeli/collection/"
	maps        = "/usr/share/kgeography/"
	drawings    = "/usr/share/games/pingus/data/images/"
)

// softPixelMM is the finest detail that the pictures keep where they are screened: several dots wide, so that what is
// compared is colour, not sharpness; softParts is how many pixels such a detail is drawn with.
const (
	softPixelMM = 3.5
	softParts   = 8
)

// loopRows vary garment, method and number of screens. One asks for a coarse ruling: at 45 lpi the smallest dots that
// the mesh holds are 2.5 %, tints below are dropped from the films, and on a black garment that alone moves the mean by
// 0.46 (the tones without the small ones give what the films give to 0.02).
var loopRows = []loopRow{
	{photographs + "castle-maintenon.jpg", "#ffffff", 280,
		`"separation":{"method":"simulated_process","max_screens":6}`, false},
	{photographs + "cincinnati-bridge.jpg", "#17181a", 280,
		`"separation":{"method":"simulated_process","max_screens":8},"halftone":{"lpi":30}`, false},
	{photographs + "citrus-fruits.jpg", "#17181a", 280,
		`"separation":{"method":"auto"}`, false},
	{photographs + "european-honey-bee.jpg", "#8a8d8f", 240,
		`"separation":{"method":"simulated_process","max_screens":5}`, false},
	{photographs + "panther-chameleon-female.jpg", "#17181a", 200,
		`"separation":{"method":"index","max_screens":7}`, false},
	{drawings + "groundpieces/ground/jungle/carabatree.png", "#ffffff", 220,
		`"separation":{"method":"auto"}`, false},
	{drawings + "textures/mountain.png", "#8a8d8f", 240,
		`"separation":{"method":"simulated_process","max_screens":6}`, false},
	{drawings + "entrances/eyes_entrance.png", "#8e1f2a", 240,
		`"separation":{"method":"simulated_process","max_screens":6}`, false},
	{drawings + "pingus/common/light.png", "#17181a", 240,
		`"separation":{"method":"auto"}`, false},
	{drawings + "groundpieces/ground/forest/treetrunk2.png", "#ffffff", 200,
		`"separation":{"method":"index","max_screens":6}`, false},
	{drawings + "core/menu/blackboard.png", "#8a8d8f", 240,
		`"separation":{"method":"simulated_process","max_screens":4}`, false},
	{maps + "france_regions.png", "#8e1f2a", 280,
		`"separation":{"method":"spot","max_screens":7,"choke_mm":0,"trap_mm":0}`, true},
}

// loopLimit is how far, in mean CIEDE2000, the films' own figure may be from the one reported.
const loopLimit = 0.5

// TestFilmsPrintAsCloseToTheArtAsThePlanSays makes films and reads their final bits back, low-passes them, puts them
// through a print model written for this test alone (closedloop_model_test.go: an explicit sum over all overprints) and
// compares the mean colour difference to the art with the plan's match. With TAMIS_CONTACT_SHEETS naming a folder, one
// PNG a picture is left there: art on its garment, proof, and every plate.
func TestFilmsPrintAsCloseToTheArtAsThePlanSays(t *testing.T) {
	if testing.Short() {
		t.Skip("twelve prints take minutes under the race detector; the plain pass makes them")
	}
	for _, row := range loopRows {
		t.Run(filepath.Base(row.picture), func(t *testing.T) {
			t.Parallel()
			loop(t, row)
		})
	}
}

func loop(t *testing.T, row loopRow) {
	art := loopPictureOf(t, row)
	in := loopInput(t, row, art)
	s := newShelf()
	result, err := produce.Run(t.Context(), in, s)
	if err != nil {
		t.Fatal(err)
	}
	g := newLoopGrid(in.Plan, art)
	films := make([]loopFilm, len(result.Films))
	for i, f := range result.Films {
		films[i] = readFilm(t, s.bytes[f.SHA256], f.PrintBox)
	}
	printed, seen, want := g.printed(in.Plan, films), g.seen(art, row.garment), in.Plan.Doc.Match.Mean
	got := seen.difference(printed)
	t.Logf("%s %s on %s, %d screens: plan %.2f, films %.2f CIEDE2000", filepath.Base(row.picture), in.Plan.Doc.Method,
		row.garment, in.Plan.Doc.Screens, want, got)
	if got-want > loopLimit || want-got > loopLimit {
		t.Errorf("the plan says %.2f, the films print %.2f, limit %g apart", want, got, loopLimit)
	}
	if dir := os.Getenv("TAMIS_CONTACT_SHEETS"); dir != "" {
		proof, _, err := image.Decode(bytes.NewReader(s.bytes[s.files["proof.png"].SHA256]))
		if err != nil {
			t.Fatal(err)
		}
		contactSheet(t, filepath.Join(dir, filepath.Base(row.picture)+".png"), seen, printed, proof, g.planes(films))
	}
}

// loopPictureOf reads a row's picture, reduced to its pixels.
func loopPictureOf(t *testing.T, row loopRow) *artwork.Image {
	data, err := os.ReadFile(row.picture)
	if err != nil {
		t.Fatalf("a picture of the Debian packages palapeli-data, pingus-data and kgeography-data: %v", err)
	}
	art := decoded(t, data)
	picture := image.NewNRGBA(image.Rect(0, 0, art.Width, art.Height))
	copy(picture.Pix, art.Pix)
	if !row.sharp {
		picture = softened(art, int(row.widthMM/softPixelMM))
	}
	var out bytes.Buffer
	if err := png.Encode(&out, picture); err != nil {
		t.Fatal(err)
	}
	return decoded(t, out.Bytes())
}

// softened reduces a picture to so many pixels across, and draws it again with more by straight lines.
func softened(art *artwork.Image, across int) *image.NRGBA {
	if art.Width > across {
		art = art.Reduced(max(across, across*art.Height/art.Width))
	}
	small := &image.NRGBA{Pix: art.Pix, Stride: 4 * art.Width, Rect: image.Rect(0, 0, art.Width, art.Height)}
	out := image.NewNRGBA(image.Rect(0, 0, softParts*art.Width, softParts*art.Height))
	draw.BiLinear.Scale(out, out.Rect, small, small.Rect, draw.Src, nil)
	return out
}

// loopInput plans a row's job.
func loopInput(t *testing.T, row loopRow, art *artwork.Image) produce.Input {
	return planned(t, art, fmt.Appendf(nil, `{"artwork_id":"art_1","print":{"width_mm":%g},"quantity":50,
		"garment":{"color":"%s","unit_cost":"3"},%s,
		"film":{"formats":["tiff"],"device":{"x_dpi":720,"y_dpi":720,"width_mm":330}}}`, row.widthMM, row.garment, row.ask))
}
