package library_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"fmt"
	"image"
	"image/png"
	"io"
	"testing"
	"time"

	"tamis/pkg/artwork"
	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/order"
	"tamis/pkg/produce"
	"tamis/pkg/shop"
	"tamis/pkg/store"
)

func Example() {
	o := order.Order{ArtworkID: "art_1", Quantity: 7}
	a := library.Work(o, "sha", shop.Default())
	o.Quantity = 8
	fmt.Println(a == library.Work(o, "sha", shop.Default()), len(a.Label()))
	// Output: false 11
}

func open(t *testing.T) (*library.Library, store.Store) {
	t.Helper()
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	return library.New(dir), dir
}

func picture(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewNRGBA(image.Rect(0, 0, 20, 30))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

const mine, theirs = library.ShopID("default"), library.ShopID("other")

func TestArtworkIsKnownByItsBytesAndOnlyToItsShop(t *testing.T) {
	l, _ := open(t)
	data := picture(t)
	a, created, err := l.SaveArtwork(t.Context(), mine, data, "image/png", artwork.Limits{})
	if err != nil || !created || a.WidthPX != 20 || a.HeightPX != 30 {
		t.Fatalf("%+v %t %v", a, created, err)
	}
	b, created, err := l.SaveArtwork(t.Context(), mine, data, "", artwork.Limits{})
	if err != nil || created || b.ID != a.ID || b.Inspection == nil {
		t.Errorf("again: %+v %t %v", b, created, err)
	}
	if _, err := l.Artwork(t.Context(), theirs, a.ID); !fault.Is(err, fault.NotFound) {
		t.Errorf("another shop finds it: %v", err)
	}
	original, err := l.Original(t.Context(), mine, a)
	if err != nil || !bytes.Equal(original, data) {
		t.Errorf("%d of %d bytes: %v", len(original), len(data), err)
	}
	for _, id := range []library.ArtworkID{"", "art_", "../../x", "art_0123456789abcdef0123456789abcdeF"} {
		if _, err := l.Artwork(t.Context(), mine, id); !fault.Is(err, fault.NotFound) {
			t.Errorf("%q: %v", id, err)
		}
	}
}

func TestAnInspectionOfAnOlderTamisIsMadeAgain(t *testing.T) {
	l, s := open(t)
	a, _, err := l.SaveArtwork(t.Context(), mine, picture(t), "", artwork.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	key := "shops/default/artworks/" + string(a.ID) + "/artwork.json"
	old := fmt.Sprintf(`{"id":%q,"sha256":%q,"bytes":%d,"media_type":"image/png","width_px":20,"height_px":30,"inspector":0}`,
		a.ID, a.SHA256, a.Bytes)
	if err := s.Put(t.Context(), key, []byte(old), "application/json"); err != nil {
		t.Fatal(err)
	}
	again, err := l.Artwork(t.Context(), mine, a.ID)
	if err != nil || again.Inspection == nil || again.Inspector != a.Inspector {
		t.Errorf("%+v %v", again, err)
	}
}

func TestAShopsOwnDocumentReplacesTheDefaultWhole(t *testing.T) {
	l, s := open(t)
	own := `{"inks":[{"id":"only","name":"Only","hex":"#123456"}]}`
	if err := s.Put(t.Context(), "shops/default/settings/inks.json", []byte(own), "application/json"); err != nil {
		t.Fatal(err)
	}
	got, err := l.Snapshot(t.Context(), mine)
	if err != nil || len(got.Inks.Inks) != 1 || got.Inks.Inks[0].DensityGCM3 != 0 {
		t.Errorf("%+v %v: a field of the default ink shows through", got.Inks, err)
	}
	if other, err := l.Snapshot(t.Context(), theirs); err != nil || len(other.Inks.Inks) < 2 || other.Profile.ID != "other" {
		t.Errorf("%v: another shop is touched", err)
	}
}

func TestAJobsDocumentReadsBackAsItWas(t *testing.T) {
	o, err := order.Parse([]byte(`{"artwork_id":"art_1","print":{"width_mm":300},"garment":{"color":"#17181a","unit_cost":"3.10"},
		"quantity":72,"film":{"device":{"x_dpi":1440,"y_dpi":720,"width_mm":330}}}`))
	if err != nil {
		t.Fatal(err)
	}
	if o, err = o.Complete(); err != nil {
		t.Fatal(err)
	}
	made := library.NewJob(time.Unix(1, 0).UTC(), o, 1, "sha", shop.Default())
	doc, err := json.Marshal(made)
	if err != nil {
		t.Fatal(err)
	}
	job, back, err := library.ParseJob(doc)
	if err != nil || !bytes.Equal(back.Canonical(), o.Canonical()) {
		t.Fatalf("%v\n%s\n%s", err, back.Canonical(), o.Canonical())
	}
	if library.Work(back, job.ArtworkSHA, job.Snapshot) != made.Work {
		t.Error("the work's hash changes on the way through the document")
	}
}

// TestAnyChangeOfWhatMadeAResultIsAnotherWork: artwork, order and shop each count.
func TestAnyChangeOfWhatMadeAResultIsAnotherWork(t *testing.T) {
	o := order.Order{Quantity: 1}
	seen := map[library.WorkID]string{library.Work(o, "sha", shop.Default()): "as it is"}
	edited := shop.Default()
	edited.Prices.Minimum = shop.MustAmount("61.00")
	for what, w := range map[string]library.WorkID{"artwork": library.Work(o, "sha2", shop.Default()),
		"order": library.Work(order.Order{Quantity: 2}, "sha", shop.Default()), "shop": library.Work(o, "sha", edited)} {
		if before, ok := seen[w]; ok {
			t.Errorf("%s and %s are one work", what, before)
		}
		seen[w] = what
	}
}

func TestTheSinkFindsWhatItKept(t *testing.T) {
	l, _ := open(t)
	s := l.Sink(mine, "w1")
	body := []byte("a film")
	sum := sha256.Sum256(body)
	f := produce.File{Name: "01-white-underbase.tif", MediaType: "image/tiff", Bytes: int64(len(body)),
		SHA256: hex.EncodeToString(sum[:]), InkArea: 0.3}
	if _, ok, err := s.Finished(t.Context(), f.Name); ok || err != nil {
		t.Fatalf("found before it was put: %v", err)
	}
	for range 2 { // the second put of the same bytes is a success that changes nothing
		if err := s.Put(t.Context(), f, bytes.NewReader(body)); err != nil {
			t.Fatal(err)
		}
	}
	got, ok, err := s.Finished(t.Context(), f.Name)
	if err != nil || !ok || got != f {
		t.Fatalf("%+v %t %v", got, ok, err)
	}
	r, err := s.Open(t.Context(), f)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if data, err := io.ReadAll(r); err != nil || !bytes.Equal(data, body) {
		t.Errorf("%q %v", data, err)
	}
	if _, ok, _ := l.Sink(theirs, "w1").Finished(context.Background(), f.Name); ok {
		t.Error("another shop finds it")
	}
}

func TestAResultIsFoundByItsWork(t *testing.T) {
	l, _ := open(t)
	if _, err := l.Result(t.Context(), mine, "w1"); !fault.Is(err, fault.NotFound) {
		t.Fatal(err)
	}
	want := produce.Result{Proof: "proof.png", Films: []produce.Film{{Plate: 1, File: "a.tif"}}}
	if _, err := l.SaveResult(t.Context(), mine, "w1", want); err != nil {
		t.Fatal(err)
	}
	if got, err := l.Result(t.Context(), mine, "w1"); err != nil || got.Proof != want.Proof || len(got.Films) != 1 {
		t.Errorf("%+v %v", got, err)
	}
}
