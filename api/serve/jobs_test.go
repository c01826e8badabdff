package serve_test

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"

	"github.com/shopspring/decimal"
)

// orderOf is a small order: 40 mm wide on a coarse device, so that its films take a moment.
func orderOf(artwork, extra string) []byte {
	return fmt.Appendf(nil, `{"artwork_id":%q,"print":{"width_mm":40},"garment":{"color":"#17181a","unit_cost":"3.10"},
		"quantity":72,"film":{"device":{"x_dpi":600,"y_dpi":600,"width_mm":330}}%s}`, artwork, extra)
}

var waiting = map[string]string{"Prefer": "respond-async, wait=30"}

func TestAQuotesLinesAddUpAndItsLadderNeverGetsWorse(t *testing.T) {
	s := start(t)
	for _, picture := range [][]byte{flatPNG(t, 200), gradientJPEG(t, 200)} {
		doc := s.call("POST", "/v1/quotes", nil, orderOf(s.upload(picture), "")).want(t, 200)
		sum := decimal.Zero
		for _, l := range doc["lines"].([]any) {
			line := l.(map[string]any)
			amount := decimal.RequireFromString(line["amount"].(string))
			product := decimal.RequireFromString(line["quantity"].(string)).Mul(decimal.RequireFromString(line["unit_price"].(string)))
			if !product.RoundDown(2).Equal(amount) {
				t.Errorf("%v is not its quantity times its price", line)
			}
			sum = sum.Add(amount)
		}
		if !sum.Equal(decimal.RequireFromString(doc["total"].(string))) {
			t.Errorf("lines give %s, the total says %v", sum, doc["total"])
		}
		last := 1e9
		for _, r := range doc["ladder"].([]any) {
			mean := r.(map[string]any)["delta_e00_mean"].(float64)
			if mean > last+0.01 {
				t.Errorf("one more screen is worse: %v", doc["ladder"])
			}
			last = mean
		}
		if doc["plan"].(map[string]any)["screens"].(float64) < 1 || doc["valid_until"] == "" || doc["currency"] != "EUR" {
			t.Errorf("quote %v", doc)
		}
	}
}

func TestAJobMakesEveryFilmItsQuoteCounted(t *testing.T) {
	s := start(t)
	order := orderOf(s.upload(gradientJPEG(t, 200)), `,"order_ref":"A-1"`)
	quote := s.call("POST", "/v1/quotes", nil, order).want(t, 200)
	made := s.call("POST", "/v1/jobs", waiting, order)
	job := made.want(t, 202)
	if job["state"] != "done" || made.header.Get("Preference-Applied") != "wait=30" {
		t.Fatalf("%v %v", job["state"], job["problem"])
	}
	result := job["result"].(map[string]any)
	screens := int(quote["plan"].(map[string]any)["screens"].(float64))
	if films := result["films"].([]any); len(films) != 2*screens {
		t.Errorf("%d films of two formats for %d screens", len(films), screens)
	}
	if result["quote"].(map[string]any)["total"] != quote["total"] {
		t.Errorf("job %v, quote %v", result["quote"].(map[string]any)["total"], quote["total"])
	}
	s.checkFiles(job["id"].(string), screens+6) // films, their PDF, proof, sheet, its facts, manifest, and a map: parts are out of reach
}

// checkFiles downloads every file of a job and compares its hash.
func (s *service) checkFiles(id string, want int) {
	s.t.Helper()
	files := s.call("GET", "/v1/jobs/"+id+"/files", nil, nil).want(s.t, 200)["files"].([]any)
	if len(files) != want {
		s.t.Errorf("%d files, want %d", len(files), want)
	}
	for _, f := range files {
		file := f.(map[string]any)
		r := s.call("GET", file["href"].(string), nil, nil)
		sum := sha256.Sum256(r.body)
		if r.status != 200 || hex.EncodeToString(sum[:]) != file["sha256"] || len(r.body) != int(file["bytes"].(float64)) {
			s.t.Errorf("%v: status %d, %d bytes", file["name"], r.status, len(r.body))
		}
	}
}

func TestTheSameOrderAgainIsDoneAtOnceFromTheSameFilms(t *testing.T) {
	s := start(t)
	order := orderOf(s.upload(flatPNG(t, 200)), "")
	first := s.call("POST", "/v1/jobs", waiting, order).want(t, 202)
	second := s.call("POST", "/v1/jobs", nil, order).want(t, 202)
	if second["state"] != "done" || second["id"] == first["id"] || second["attempts"].(float64) != 0 {
		t.Fatalf("second: %v, attempts %v", second["state"], second["attempts"])
	}
	a, b := first["result"].(map[string]any)["films"], second["result"].(map[string]any)["films"]
	if fmt.Sprint(a) != fmt.Sprint(b) {
		t.Errorf("films differ:\n%v\n%v", a, b)
	}
}

func TestAFileIsGivenInRangesAndOnlyOnce(t *testing.T) {
	s := start(t)
	job := s.call("POST", "/v1/jobs", waiting, orderOf(s.upload(flatPNG(t, 200)), "")).want(t, 202)
	path := "/v1/jobs/" + job["id"].(string) + "/files/proof.png"
	whole := s.call("GET", path, nil, nil)
	if whole.status != 200 || whole.header.Get("Content-Disposition") != `attachment; filename=proof.png` {
		t.Fatalf("%d %v", whole.status, whole.header)
	}
	n := len(whole.body)
	for given, want := range map[string]string{"bytes=0-9": string(whole.body[:10]), "bytes=-5": string(whole.body[n-5:]),
		fmt.Sprintf("bytes=%d-", n-3): string(whole.body[n-3:]), "Bytes=05-9": string(whole.body[5:10]), "bytes=10-99999999": string(whole.body[10:])} {
		if r := s.call("GET", path, map[string]string{"Range": given}, nil); r.status != 206 || string(r.body) != want {
			t.Errorf("%s: %d, %d bytes", given, r.status, len(r.body))
		}
	}
	s.call("GET", path, map[string]string{"Range": "bytes=99999999-"}, nil).want(t, 416)
	for _, none := range []string{"bytes=9-2", "lines=1-2", "bytes=1-2,4-5", "bytes=-"} {
		if r := s.call("GET", path, map[string]string{"Range": none}, nil); r.status != 200 || len(r.body) != n {
			t.Errorf("%s: %d, %d bytes", none, r.status, len(r.body))
		}
	}
	if r := s.call("HEAD", path, nil, nil); r.status != 200 || r.header.Get("Content-Length") != fmt.Sprint(n) || len(r.body) != 0 {
		t.Errorf("HEAD: %d %v", r.status, r.header)
	}
	if r := s.call("GET", path, map[string]string{"If-None-Match": whole.header.Get("ETag")}, nil); r.status != 304 {
		t.Errorf("held already: %d", r.status)
	}
	s.call("GET", path+"x", nil, nil).want(t, 404)
	if doc := s.call("GET", path+"?redirect=false", nil, nil).want(t, 200); doc["url"] != path {
		t.Errorf("%v", doc)
	}
}

// TestAHundredCallsWithOneKeyAreOneJob sends the same call a hundred times at once.
func TestAHundredCallsWithOneKeyAreOneJob(t *testing.T) {
	s := start(t)
	order := orderOf(s.upload(flatPNG(t, 100)), "")
	ids := sync.Map{}
	var group sync.WaitGroup
	for i := range 100 {
		key := "order 7"
		if i%2 == 0 {
			key = `"order 7"` // quoted or bare, it is the same key
		}
		group.Go(func() {
			r := s.call("POST", "/v1/jobs", map[string]string{"Idempotency-Key": key}, order)
			if r.status != 202 {
				t.Errorf("%d %s", r.status, r.body)
				return
			}
			ids.Store(r.want(t, 202)["id"], true)
		})
	}
	group.Wait()
	n := 0
	ids.Range(func(any, any) bool { n++; return true })
	if n != 1 {
		t.Errorf("%d jobs", n)
	}
	other := orderOf(s.upload(flatPNG(t, 100)), `,"order_ref":"edited"`)
	if doc := s.call("POST", "/v1/jobs", map[string]string{"Idempotency-Key": "order 7"}, other).want(t, 422); doc["code"] != "idempotency_key_reused" {
		t.Errorf("%v", doc)
	}
	s.call("POST", "/v1/jobs", map[string]string{"Idempotency-Key": ""}, order).want(t, 400)
	s.call("POST", "/v1/jobs", map[string]string{"Idempotency-Key": strings.Repeat("k", 256)}, order).want(t, 400)
}

func TestPagesOfJobsNeitherRepeatNorSkip(t *testing.T) {
	s := start(t)
	art := s.upload(flatPNG(t, 60))
	want := map[string]bool{}
	for i := range 7 {
		doc := s.call("POST", "/v1/jobs", nil, orderOf(art, fmt.Sprintf(`,"order_ref":"R%d"`, i%2))).want(t, 202)
		want[doc["id"].(string)] = true
	}
	path, seen := "/v1/jobs?limit=3", 0
	for path != "" {
		r := s.call("GET", path, nil, nil)
		doc := r.want(t, 200)
		for _, j := range doc["jobs"].([]any) {
			id := j.(map[string]any)["id"].(string)
			if !want[id] {
				t.Errorf("%s twice or not ours", id)
			}
			delete(want, id)
			seen++
		}
		path = ""
		if next, ok := doc["next_cursor"]; ok {
			path = "/v1/jobs?limit=3&cursor=" + next.(string)
			if !strings.Contains(r.header.Get("Link"), `rel="next"`) {
				t.Errorf("Link %q", r.header.Get("Link"))
			}
			s.call("GET", path+"&order_ref=R1", nil, nil).want(t, 400)
		}
	}
	if seen != 7 {
		t.Errorf("%d jobs seen", seen)
	}
	if jobs := s.call("GET", "/v1/jobs?order_ref=R1", nil, nil).want(t, 200)["jobs"].([]any); len(jobs) != 3 {
		t.Errorf("%d jobs of R1", len(jobs))
	}
	for _, bad := range []string{"?limit=0", "?limit=x", "?limit=201", "?state=lost", "?cursor=abc", "?sate=done"} {
		s.call("GET", "/v1/jobs"+bad, nil, nil).want(t, 400)
	}
}

func TestEventsTellTheWholeStoryAndEnd(t *testing.T) {
	s := start(t)
	job := s.call("POST", "/v1/jobs", nil, orderOf(s.upload(gradientJPEG(t, 150)), "")).want(t, 202)
	path := "/v1/jobs/" + job["id"].(string) + "/events"
	resp, err := http.Get(s.base + path)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	var kinds []string
	last := ""
	for lines := bufio.NewScanner(resp.Body); lines.Scan(); {
		if kind, ok := strings.CutPrefix(lines.Text(), "event: "); ok {
			kinds = append(kinds, kind)
		}
		if id, ok := strings.CutPrefix(lines.Text(), "id: "); ok {
			last = id
		}
	}
	if resp.Header.Get("Content-Type") != "text/event-stream" || len(kinds) < 3 || kinds[0] != "queued" || kinds[len(kinds)-1] != "done" {
		t.Errorf("%v", kinds)
	}
	if r := s.call("GET", path, map[string]string{"Last-Event-ID": last}, nil); r.status != 204 {
		t.Errorf("after the last event: %d", r.status)
	}
	s.call("DELETE", "/v1/jobs/"+job["id"].(string), nil, nil).want(t, 409)
	s.call("GET", "/v1/jobs/job_unknown/events", nil, nil).want(t, 404)
}

func TestACanceledJobEndsCanceled(t *testing.T) {
	s := start(t)
	art := s.upload(gradientJPEG(t, 1200))
	order := []byte(strings.Replace(string(orderOf(art, "")), `"width_mm":40}`, `"width_mm":290}`, 1))
	job := s.call("POST", "/v1/jobs", nil, order).want(t, 202)
	path := "/v1/jobs/" + job["id"].(string)
	s.call("DELETE", path, nil, nil).want(t, 202)
	got := s.call("GET", path, waiting, nil).want(t, 200)
	if got["state"] != "canceled" {
		t.Errorf("%v", got)
	}
	s.call("GET", path+"/files", nil, nil).want(t, 409)
}
