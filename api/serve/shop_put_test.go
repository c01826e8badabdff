package serve_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
)

// read gets a document and its tag.
func (s *service) read(t *testing.T, path string) (doc string, etag string) {
	t.Helper()
	r := s.call("GET", path, nil, nil)
	r.want(t, 200)
	return string(r.body), r.header.Get("ETag")
}

func (s *service) put(path, etag, doc string) reply {
	s.t.Helper()
	return s.call("PUT", path, map[string]string{"If-Match": etag, "Content-Type": "application/json"}, []byte(doc))
}

var shopPaths = []string{"/v1/shop", "/v1/shop/inks", "/v1/shop/meshes", "/v1/shop/devices", "/v1/shop/presses",
	"/v1/shop/prices"}

func TestEveryDocumentIsPutBackAsItWasRead(t *testing.T) {
	s := start(t)
	for _, path := range shopPaths {
		doc, etag := s.read(t, path)
		put := s.put(path, etag, doc)
		put.want(t, 200)
		again, tag := s.read(t, path)
		if string(put.body) != doc || again != doc || tag != etag || put.header.Get("ETag") != etag {
			t.Errorf("%s: put gives %s\nread %s", path, put.body, doc)
		}
		s.put(path, "*", doc).want(t, 200)
	}
}

func TestAPutWithoutTheTagOrWithAnOldOneChangesNothing(t *testing.T) {
	s := start(t)
	for _, path := range shopPaths {
		doc, etag := s.read(t, path)
		if r := s.call("PUT", path, nil, []byte(doc)); r.status != 428 || r.want(t, 428)["code"] != "if_match_missing" {
			t.Errorf("%s without If-Match: %d", path, r.status)
		}
		for _, old := range []string{`"feed"`, "W/" + etag, `""`} {
			s.put(path, old, doc).want(t, 412)
		}
		s.put(path, `"feed", `+etag, doc).want(t, 200)
	}
	doc, first := s.read(t, "/v1/shop")
	edited := strings.Replace(doc, "The print shop", "The other shop", 1)
	second := s.put("/v1/shop", first, edited).header.Get("ETag")
	if r := s.put("/v1/shop", first, doc); r.status != 412 || r.want(t, 412)["code"] != "stale" {
		t.Errorf("the tag before the edit: %d", r.status)
	}
	if now, tag := s.read(t, "/v1/shop"); now != edited || tag != second || second == first {
		t.Errorf("%s %s after %s", now, tag, first)
	}
	s.put("/v1/shop", second, doc).want(t, 200)
}

func TestOfManyWritersOfOneVersionOneWins(t *testing.T) {
	s := start(t)
	doc, etag := s.read(t, "/v1/shop")
	var won atomic.Int32
	var group sync.WaitGroup
	for i := range 12 {
		group.Go(func() {
			r := s.put("/v1/shop", etag, strings.Replace(doc, "The print shop", fmt.Sprint("Shop ", i), 1))
			if r.status == 200 {
				won.Add(1)
			} else if r.status != 412 {
				t.Errorf("%d %s", r.status, r.body)
			}
		})
	}
	group.Wait()
	if won.Load() != 1 {
		t.Errorf("%d writers won", won.Load())
	}
}

// edit changes one value of a document, named by keys and indices; a nil value removes it.
func edit(t *testing.T, doc string, value any, path ...any) string {
	t.Helper()
	var whole any
	if err := json.Unmarshal([]byte(doc), &whole); err != nil {
		t.Fatal(err)
	}
	at := whole
	for _, step := range path[:len(path)-1] {
		if name, ok := step.(string); ok {
			at = at.(map[string]any)[name]
		} else {
			at = at.([]any)[step.(int)]
		}
	}
	switch last := path[len(path)-1].(type) {
	case string:
		at.(map[string]any)[last] = value
		if value == nil {
			delete(at.(map[string]any), last)
		}
	case int:
		at.([]any)[last] = value
	}
	out, err := json.Marshal(whole)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// TestEveryValueThatCannotBeIsNamed puts documents with one fault each and looks for the one pointer.
// long: a table of faults
func TestEveryValueThatCannotBeIsNamed(t *testing.T) {
	s := start(t)
	type steps = []any
	for _, c := range []struct {
		path  string
		at    steps
		value any
		want  string
	}{
		{"", steps{"id"}, "another", "/id"},
		{"", steps{"name"}, " ", "/name"},
		{"", steps{"name"}, strings.Repeat("x", 81), "/name"},
		{"", steps{"paper"}, "a3", "/paper"},
		{"", steps{"quote_valid_days"}, 0, "/quote_valid_days"},
		{"", steps{"quote_valid_days"}, nil, "/quote_valid_days"},
		{"", steps{"default_device"}, "none", "/default_device"},
		{"", steps{"default_press"}, "none", "/default_press"},
		{"", steps{"exposure", "exposure_s"}, 0, "/exposure/exposure_s"},
		{"", steps{"exposure", "target_step"}, 22, "/exposure/target_step"},
		{"", steps{"exposure", "film_dmin"}, -1, "/exposure/film_dmin"},
		{"", steps{"exposure", "yellow_factor"}, 0.5, "/exposure/yellow_factor"},
		{"/inks", steps{"inks"}, []int{}, "/inks"},
		{"/inks", steps{"inks", 1, "id"}, "white", "/inks/1/id"},
		{"/inks", steps{"inks", 1, "id"}, "Ä", "/inks/1/id"},
		{"/inks", steps{"inks", 2, "name"}, "a\u202eb", "/inks/2/name"},
		{"/inks", steps{"inks", 0, "hex"}, "white", "/inks/0/hex"},
		{"/inks", steps{"inks", 0, "kind"}, "gel", "/inks/0/kind"},
		{"/inks", steps{"inks", 0, "lab_over_white", 0}, 101, "/inks/0/lab_over_white/0"},
		{"/inks", steps{"inks", 0, "lab_over_black", 0}, 99, "/inks/0/lab_over_black/0"},
		{"/inks", steps{"inks", 0, "density_g_cm3"}, nil, "/inks/0/density_g_cm3"},
		{"/inks", steps{"inks", 0, "density_g_cm3"}, 0.1, "/inks/0/density_g_cm3"},
		{"/inks", steps{"inks", 0, "max_particle_um"}, -1, "/inks/0/max_particle_um"},
		{"/inks", steps{"inks", 0, "price_per_kg"}, nil, "/inks/0/price_per_kg"},
		{"/inks", steps{"cards"}, map[string]any{"white": []int{50, 0, 0}, "black": []int{40, 0, 0}}, "/cards/black/0"},
		{"/inks", steps{"cards"}, map[string]any{"white": []int{95, 0, 0}}, "/cards/black"},
		{"/meshes", steps{"meshes"}, []int{}, "/meshes"},
		{"/meshes", steps{"meshes", 0, "threads_per_cm"}, 4, "/meshes/0/threads_per_cm"},
		{"/meshes", steps{"meshes", 0, "thread_um"}, 312, "/meshes/0/thread_um"},
		{"/meshes", steps{"meshes", 0, "color"}, "red", "/meshes/0/color"},
		{"/meshes", steps{"meshes", 0, "fabric_um"}, 1001, "/meshes/0/fabric_um"},
		{"/meshes", steps{"meshes", 0, "fabric_um"}, 1, "/meshes/0/fabric_um"},
		{"/devices", steps{"devices"}, []int{}, "/devices"},
		{"/devices", steps{"devices", 0, "id"}, "renamed", "/devices"},
		{"/devices", steps{"devices", 0, "x_dpi"}, 72, "/devices/0/x_dpi"},
		{"/devices", steps{"devices", 0, "dmax"}, 0.01, "/devices/0/dmax"},
		{"/devices", steps{"devices", 0, "technology"}, "fax", "/devices/0/technology"},
		{"/devices", steps{"devices", 0, "name"}, nil, "/devices/0/name"},
		{"/devices", steps{"devices", 0, "scale_x"}, 1.2, "/devices/0/scale_x"},
		{"/devices", steps{"devices", 0, "curve_id"}, "cal_00000000000000000000000000000000", "/devices/0/curve_id"},
		{"/presses", steps{"presses", 1, "id"}, "renamed", "/presses"},
		{"/presses", steps{"presses", 0, "stations"}, 0, "/presses/0/stations"},
		{"/presses", steps{"presses", 0, "transfer"}, 1.1, "/presses/0/transfer"},
		{"/presses", steps{"presses", 0, "curve_id"}, "x", "/presses/0/curve_id"},
		{"/prices", steps{"currency"}, "EURO", "/currency"},
		{"/prices", steps{"currency"}, "ABC", "/currency"},
		{"/prices", steps{"film_per_m2"}, nil, "/film_per_m2"},
		{"/prices", steps{"spoilage_percent"}, "51", "/spoilage_percent"},
		{"/prices", steps{"markups", 0, "from"}, 2, "/markups/0/from"},
		{"/prices", steps{"markups", 1, "from"}, 1, "/markups/1/from"},
		{"/prices", steps{"markups", 1, "percent"}, "70.00", "/markups/1/percent"},
		{"/prices", steps{"markups", 4, "percent"}, nil, "/markups/4/percent"},
		{"/prices", steps{"break_quantities", 1}, 12, "/break_quantities/1"},
		{"/prices", steps{"break_quantities", 0}, 0, "/break_quantities/0"},
	} {
		path := "/v1/shop" + c.path
		doc, etag := s.read(t, path)
		r := s.put(path, etag, edit(t, doc, c.value, c.at...))
		if got := pointers(t, r); r.status != 422 || !slices.Equal(got, []string{"#" + c.want}) {
			t.Errorf("%s %v = %v: %d names %v, want #%s", path, c.at, c.value, r.status, got, c.want)
		}
		if _, now := s.read(t, path); now != etag {
			t.Fatalf("%s %v: a refused document was saved", path, c.at)
		}
	}
}

func pointers(t *testing.T, r reply) []string {
	t.Helper()
	var problem struct{ Errors []struct{ Pointer string } }
	if err := json.Unmarshal(r.body, &problem); err != nil {
		t.Fatalf("%v: %s", err, r.body)
	}
	var all []string
	for _, e := range problem.Errors {
		all = append(all, e.Pointer)
	}
	return all
}

func TestADocumentThatIsNotStrictJSONIsRefused(t *testing.T) {
	s := start(t)
	doc, etag := s.read(t, "/v1/shop")
	for name, body := range map[string]string{"empty": "", "cut": doc[:40], "trailing": doc + "{}",
		"unknown": `{"nick":"x",` + doc[1:],
		"twice":   `{"paper":"a4",` + doc[1:], "wrong case": strings.Replace(doc, `"paper"`, `"Paper"`, 1), "a number": "7",
		"a float price": `{"currency":"EUR","minimum":3.1}`} {
		path := "/v1/shop"
		if strings.Contains(body, "currency") {
			path = "/v1/shop/prices"
			_, etag = s.read(t, path)
		}
		if r := s.put(path, etag, body); r.status != 400 {
			t.Errorf("%s: %d %s", name, r.status, r.body)
		}
		_, etag = s.read(t, "/v1/shop")
	}
	s.call("PUT", "/v1/shop", map[string]string{"If-Match": etag, "Content-Type": "text/plain"}, []byte(doc)).want(t, 415)
	s.put("/v1/shop", etag, `{"name":"`+strings.Repeat("x", 2<<20)+`"}`).want(t, 413)
}

func TestSeveralFaultsAreNamedAtOnce(t *testing.T) {
	s := start(t)
	doc, etag := s.read(t, "/v1/shop/inks")
	doc = edit(t, doc, 9, "inks", 0, "density_g_cm3")
	doc = edit(t, doc, nil, "inks", 3, "price_per_kg")
	doc = edit(t, doc, "gel", "inks", 7, "kind")
	got := pointers(t, s.put("/v1/shop/inks", etag, doc))
	slices.Sort(got)
	if want := []string{"#/inks/0/density_g_cm3", "#/inks/3/price_per_kg", "#/inks/7/kind"}; !slices.Equal(got, want) {
		t.Errorf("named %v, want %v", got, want)
	}
}

func TestPricesOutOfRangeAreNamedAtOnceWithLimitAndUnit(t *testing.T) {
	s := start(t)
	doc, etag := s.read(t, "/v1/shop/prices")
	doc = edit(t, doc, "51", "spoilage_percent")
	doc = edit(t, doc, "-5", "minimum")
	doc = edit(t, doc, "-1", "rush_percent")
	r := s.put("/v1/shop/prices", etag, doc)
	got := pointers(t, r)
	slices.Sort(got)
	if want := []string{"#/minimum", "#/rush_percent", "#/spoilage_percent"}; r.status != 422 || !slices.Equal(got, want) {
		t.Errorf("%d named %v, want 422 and %v", r.status, got, want)
	}
	for _, said := range []string{"51 percent; 0 to 50", "-5 EUR; 0 to 100000000", "-1 percent; 0 to 500"} {
		if !strings.Contains(string(r.body), said) {
			t.Errorf("%q is not said: %s", said, r.body)
		}
	}
}

func TestACurveOfTheWrongKindIsRefusedAndTheRightOneTaken(t *testing.T) {
	s := start(t)
	film := s.call("POST", "/v1/calibrations", nil, calibration("film", "")).want(t, 201)["id"]
	press := s.call("POST", "/v1/calibrations", nil, calibration("press", "")).want(t, 201)["id"]
	for path, right := range map[string]any{"devices": film, "presses": press} {
		wrong := film
		if right == film {
			wrong = press
		}
		doc, etag := s.read(t, "/v1/shop/"+path)
		if got := pointers(t, s.put("/v1/shop/"+path, etag, edit(t, doc, wrong, path, 0, "curve_id"))); len(got) != 1 {
			t.Errorf("%s with a curve of the other kind: %v", path, got)
		}
		s.put("/v1/shop/"+path, etag, edit(t, doc, right, path, 0, "curve_id")).want(t, 200)
	}
}

// TestAJobIsMadeUnderTheDocumentsItWasOrderedUnder edits inks and prices between a job and the same order again.
func TestAJobIsMadeUnderTheDocumentsItWasOrderedUnder(t *testing.T) {
	s := start(t)
	order := orderOf(s.upload(flatPNG(t, 100)), "")
	first := s.call("POST", "/v1/jobs", waiting, order).want(t, 202)
	total := func(job map[string]any) any { return job["result"].(map[string]any)["quote"].(map[string]any)["total"] }

	doc, etag := s.read(t, "/v1/shop/prices")
	s.put("/v1/shop/prices", etag, edit(t, doc, "99.00", "screen_setup")).want(t, 200)
	doc, etag = s.read(t, "/v1/shop/inks")
	s.put("/v1/shop/inks", etag, edit(t, doc, "Renamed", "inks", 0, "name")).want(t, 200)

	second := s.call("POST", "/v1/jobs", waiting, order).want(t, 202)
	if first["state"] != "done" || second["state"] != "done" || total(first) == total(second) {
		t.Fatalf("%v %v, then %v %v", first["state"], total(first), second["state"], total(second))
	}
	again := s.call("GET", "/v1/jobs/"+first["id"].(string), nil, nil).want(t, 200)
	if total(again) != total(first) {
		t.Errorf("the first job now costs %v, was %v", total(again), total(first))
	}
}
