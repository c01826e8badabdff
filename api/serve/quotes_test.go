package serve_test

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// editShop changes inks, prices, meshes and profile, so that the next quote is another one.
func (s *service) editShop(t *testing.T) {
	t.Helper()
	doc, etag := s.read(t, "/v1/shop/prices")
	s.put("/v1/shop/prices", etag, edit(t, doc, "99.00", "screen_setup")).want(t, 200)
	doc, etag = s.read(t, "/v1/shop/inks")
	s.put("/v1/shop/inks", etag, edit(t, doc, "Renamed", "inks", 0, "name")).want(t, 200)
	doc, etag = s.read(t, "/v1/shop/meshes")
	s.put("/v1/shop/meshes", etag, edit(t, doc, "1.00", "meshes", 0, "price_per_m2")).want(t, 200)
	doc, etag = s.read(t, "/v1/shop")
	s.put("/v1/shop", etag, edit(t, doc, 3, "quote_valid_days")).want(t, 200)
}

func TestAQuoteIsGivenAgainToTheByteWhateverWasEdited(t *testing.T) {
	s := start(t)
	order := orderOf(s.upload(gradientJPEG(t, 100)), "")
	first := s.call("POST", "/v1/quotes", nil, order)
	id := first.want(t, 200)["id"].(string)
	if again := s.call("POST", "/v1/quotes", nil, order); string(again.body) != string(first.body) {
		t.Errorf("asked again: %s\nfirst: %s", again.body, first.body)
	}
	s.editShop(t)
	got := s.call("GET", "/v1/quotes/"+id, nil, nil)
	if got.status != 200 || string(got.body) != string(first.body) {
		t.Errorf("given again: %d %.300s\nfirst: %.300s", got.status, got.body, first.body)
	}
	s.call("GET", "/v1/quotes/"+id, map[string]string{"If-None-Match": got.header.Get("ETag")}, nil).want(t, 304)
	after := s.call("POST", "/v1/quotes", nil, order).want(t, 200)
	if after["id"] == id || after["total"] == first.want(t, 200)["total"] {
		t.Errorf("after the edit the same order is quoted %v as before", after["total"])
	}
	for _, none := range []string{"quo_1", "quo_99990101" + strings.Repeat("0", 24),
		"quo_99991301" + strings.Repeat("0", 24), "..%2fshop"} {
		s.call("GET", "/v1/quotes/"+none, nil, nil).want(t, 404)
	}
}

func TestAJobIsOrderedUnderAQuoteAndCostsWhatItSaid(t *testing.T) {
	s := start(t)
	order := orderOf(s.upload(flatPNG(t, 100)), `,"order_ref":"Q-1"`)
	quote := s.call("POST", "/v1/quotes", nil, order).want(t, 200)
	s.editShop(t)
	under := fmt.Appendf(nil, `{"quote_id":%q}`, quote["id"])
	job := s.call("POST", "/v1/jobs", waiting, under).want(t, 202)
	if job["state"] != "done" {
		t.Fatalf("%v %v", job["state"], job["problem"])
	}
	made := job["result"].(map[string]any)["quote"].(map[string]any)
	for _, field := range []string{"id", "total", "valid_until", "per_piece"} {
		if made[field] != quote[field] {
			t.Errorf("%s: the job says %v, the quote %v", field, made[field], quote[field])
		}
	}
	if ref := job["order"].(map[string]any)["order_ref"]; ref != "Q-1" {
		t.Errorf("order_ref %v", ref)
	}
	plain := s.call("POST", "/v1/jobs", waiting, order).want(t, 202)
	if other := plain["result"].(map[string]any)["quote"].(map[string]any); other["total"] == quote["total"] {
		t.Errorf("the order without the quote costs %v too", other["total"])
	}
	s.call("POST", "/v1/jobs", nil, []byte(`{"quote_id":"quo_9"}`)).want(t, 422)
	s.call("POST", "/v1/jobs", nil, fmt.Appendf(nil, `{"quote_id":%q,"quantity":7}`, quote["id"])).want(t, 400)
	s.call("POST", "/v1/jobs", nil, []byte(`{"quote_id":7}`)).want(t, 400)
	s.call("POST", "/v1/jobs", nil, fmt.Appendf(nil, `{"quote_id":"quo_20200101%024d"}`, 0)).want(t, 410)
}

func TestAnEndedQuoteIsGone(t *testing.T) {
	s := start(t)
	ended := "quo_20200101" + strings.Repeat("a", 24)
	if r := s.call("GET", "/v1/quotes/"+ended, nil, nil); r.status != 410 || r.want(t, 410)["code"] != "quote_ended" {
		t.Errorf("%d %s", r.status, r.body)
	}
}

// TestAQuoteEndsAtMidnightSoThatADayHasOne reads valid_until.
func TestAQuoteEndsAtMidnightSoThatADayHasOne(t *testing.T) {
	s := start(t)
	quote := s.call("POST", "/v1/quotes", nil, orderOf(s.upload(flatPNG(t, 60)), "")).want(t, 200)
	end, err := time.Parse(time.RFC3339, quote["valid_until"].(string))
	if days := time.Until(end).Hours() / 24; err != nil || end.Hour() != 0 || end.Minute() != 0 || days < 29.9 || days > 31.1 {
		t.Errorf("%v: %.2f days from now, want midnight after 30 whole days (%v)", quote["valid_until"], days, err)
	}
}

// TestAQuoteAskedAgainWritesNothing takes the stored quote away: asked again the answer is the same and nothing comes
// back, since it is remembered as stored.
func TestAQuoteAskedAgainWritesNothing(t *testing.T) {
	data := t.TempDir()
	s := start(t, "TAMIS_DATA="+data)
	order := orderOf(s.upload(flatPNG(t, 60)), "")
	first := s.call("POST", "/v1/quotes", nil, order)
	id := first.want(t, 200)["id"].(string)
	stored := find(t, data, id+".json")
	if len(stored) == 0 {
		t.Fatal("the quote is not stored")
	}
	for _, path := range stored {
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
	}
	if again := s.call("POST", "/v1/quotes", nil, order); string(again.body) != string(first.body) ||
		len(find(t, data, id+".json")) > 0 {
		t.Errorf("asked again it is written again, or says %.200s", again.body)
	}
}

// find gives the paths of the files of this name below a folder: the object's, and what the store remembers of it.
func find(t *testing.T, folder, name string) (paths []string) {
	t.Helper()
	err := filepath.WalkDir(folder, func(p string, d fs.DirEntry, err error) error {
		if err == nil && d.Name() == name {
			paths = append(paths, p)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return paths
}
